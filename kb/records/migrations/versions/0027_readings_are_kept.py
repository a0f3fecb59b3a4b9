"""Readings are kept, not replaced: what was read becomes readouts of an unknown moment, value by value."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import sqlalchemy as sa
from alembic import op

from kb.records.migrations.new_tables import flags, moments, new_table, numbers, refers, texts

revision = "0027"
down_revision = "0026"
branch_labels = None
depends_on = None

_KINDS = ("hardware_number", "software_number", "calibration_id", "cvn")


def upgrade() -> None:
    new_table(
        "readout",
        refers("concern_id", "concern"),
        refers("event_id", "programming_event", maybe=True),
        texts("moment"),
        moments("taken_at"),
        texts("by"),
        moments("recorded_at"),
    )
    new_table(
        "reading",
        refers("readout_id", "readout"),
        texts("kind", "module", "value", "status"),
        numbers("place"),
        texts("source"),
        flags("confirmed"),
        moments("struck_at", maybe=True),
        texts("struck_by"),
    )
    op.add_column("reflash", sa.Column("cvn_before", sa.String(), nullable=False, server_default=""))
    _move_what_was_read()
    op.drop_table("calibration_reading")


def downgrade() -> None:
    """Of a module that holds several IDs the first goes back; what was read besides has no place there."""
    new_table(
        "calibration_reading",
        refers("concern_id", "concern"),
        texts("module", "calibration_id", "source"),
        flags("confirmed"),
        texts("cvn", "hardware_number", "software_number"),
        moments("read_at"),
        texts("read_by"),
    )
    _move_back()
    op.drop_column("reflash", "cvn_before")
    op.drop_table("reading")
    op.drop_table("readout")


def _tables(*names: str) -> list[sa.Table]:
    metadata = sa.MetaData()
    metadata.reflect(op.get_bind(), only=names)
    return [metadata.tables[name] for name in names]


def _move_what_was_read() -> None:
    """A reading becomes the readout of its own id, so that both stay together."""
    old, readout, reading = _tables("calibration_reading", "readout", "reading")
    as_readout = {
        "id": old.c.id,
        "concern_id": old.c.concern_id,
        "moment": sa.literal("unknown"),
        "taken_at": old.c.read_at,
        "by": old.c.read_by,
        "recorded_at": old.c.read_at,
    }
    op.execute(_copied(readout, as_readout, sa.true()))
    if op.get_bind().dialect.name == "postgresql":
        last = sa.select(sa.func.max(readout.c.id)).scalar_subquery()
        its_ids = sa.func.pg_get_serial_sequence("readout", "id")
        op.execute(sa.select(sa.func.setval(its_ids, last)).where(last > 0))
    for kind in _KINDS:
        value = {
            "readout_id": old.c.id,
            "kind": sa.literal(kind),
            "module": old.c.module,
            "value": old.c[kind],
            "status": sa.literal(""),
            "place": sa.literal(1),
            "source": old.c.source,
            "confirmed": old.c.confirmed,
            "struck_by": sa.literal(""),
        }
        op.execute(_copied(reading, value, old.c[kind] != ""))


def _move_back() -> None:
    old, readout, reading = _tables("calibration_reading", "readout", "reading")
    first = sa.and_(reading.c.place == 1, reading.c.struck_at.is_(None))
    row: dict[str, Any] = {
        "concern_id": readout.c.concern_id,
        "module": reading.c.module,
        "calibration_id": reading.c.value,
        "source": reading.c.source,
        "confirmed": reading.c.confirmed,
        "read_at": readout.c.taken_at,
        "read_by": readout.c.by,
    }
    for kind in ("cvn", "hardware_number", "software_number"):
        other = reading.alias(kind)
        of_module = sa.and_(other.c.readout_id == readout.c.id, other.c.module == reading.c.module)
        said = sa.select(sa.func.max(other.c.value)).where(
            of_module, other.c.kind == kind, other.c.place == 1, other.c.struck_at.is_(None)
        )
        row[kind] = sa.func.coalesce(said.scalar_subquery(), "")
    op.execute(
        sa.insert(old).from_select(
            list(row),
            sa.select(*row.values())
            .join_from(readout, reading, reading.c.readout_id == readout.c.id)
            .where(first, reading.c.kind == "calibration_id")
            .order_by(readout.c.taken_at, reading.c.id),
        )
    )


def _copied(to: sa.Table, row: Mapping[str, Any], where: sa.ColumnElement[bool]) -> sa.Insert:
    return sa.insert(to).from_select(list(row), sa.select(*row.values()).where(where).order_by(sa.text("1")))
