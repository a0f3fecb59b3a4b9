"""How a file of the shop's own is to be read: what somebody says, what was chosen before, what it tells.

The import page and the command line ask here, so that both read a file alike.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field

from kb.desk.context import Desk, lead_or_owner
from kb.desk.imports.import_jobs import importer_of
from kb.intake.columns import LOOK_THROUGH, columns_of, suggest, values_of
from kb.intake.days import order_of
from kb.intake.fields import column_places
from kb.intake.formats import FORMATS, Importer, table_of
from kb.intake.history import history
from kb.intake.history.update_texts import texts_that_are_none
from kb.intake.own_table.table import Table
from kb.nouns.imports import AS_FOUND, REASON_COLUMN, DaysWritten, HowToRead, Layout
from kb.nouns.lead.notes_wanted import VEHICLES_OF_ANY_MAKE, NotesWanted
from kb.nouns.vehicles import fold_id
from kb.records.store.imports import history as history_store
from kb.records.store.imports import kept_columns as store
from kb.records.tables import KeptColumns


@dataclass(frozen=True, slots=True)
class HowAsked:
    """What somebody says of a file; what is not said is suggested. Fields as in HowToRead."""

    columns: Mapping[str, str] = field(default_factory=dict)
    days: DaysWritten | None = None
    layout: Layout = AS_FOUND
    take_texts: bool = False
    wanted: NotesWanted = VEHICLES_OF_ANY_MAKE


NOTHING_SAID = HowAsked()


@lead_or_owner
def how_to_read(desk: Desk, format_name: str, data: bytes, asked: HowAsked = NOTHING_SAID) -> HowToRead:
    """The whole way to read the file: nothing in it is left open, so that it can be kept and used again.

    A format with fixed columns is read as it stands. Raises Unreadable as the importers do.
    """
    importer = importer_of(format_name)
    table = table_of(importer, data, HowToRead(asked.columns, layout=asked.layout))
    if table is None:
        return HowToRead(wanted=asked.wanted)
    kept = store.kept_for(desk.session, desk.shop.id, format_name, table.header)
    columns = _columns(importer, table, asked, kept.columns)
    return HowToRead(
        columns,
        asked.days or _days(importer, table, columns, kept.days),
        layout=table.layout,
        take_texts=asked.take_texts,
    )


def _columns(importer: Importer, table: Table, asked: HowAsked, before: Mapping[str, str]) -> dict[str, str]:
    """What was said of columns that are there, and suggestions for the others of what is not given out."""
    columns = [one for one in columns_of(table) if one.name]
    said = {one.name: asked.columns[one.name] for one in columns if one.name in asked.columns}
    free = [ours for ours in importer.columns if ours not in said.values()]
    others = [one for one in columns if one.name not in said]
    found = said | suggest(others, free, before)
    return {one.name: found[one.name] for one in columns}


def _days(importer: Importer, table: Table, columns: Mapping[str, str], before: str) -> DaysWritten:
    """The order that the days tell; where they do not, and are no others, the one chosen before."""
    with_days = {name for name, ours in columns.items() if ours in importer.days}
    days = list(values_of(table, with_days, LOOK_THROUGH)) if with_days else []
    told = order_of(days)
    if told is DaysWritten.YEAR_FIRST and before and any("/" in day for day in days):
        return DaysWritten(before)
    return told


@lead_or_owner
def keep_choice(desk: Desk, format_name: str, how: HowToRead) -> None:
    """Keep what the columns are read as for the next file with the same ones."""
    if how.columns:
        row = KeptColumns(
            shop_id=desk.shop.id,
            format=format_name,
            names=store.key_of(how.columns),
            columns={name: ours for name, ours in how.columns.items() if name != REASON_COLUMN},
            days=how.days.value,
            author=desk.actor.name,
            kept_at=desk.now,
        )
        store.keep(desk.session, row)


@lead_or_owner
def texts_asked(desk: Desk, data: bytes, how: HowToRead) -> Counter[str]:
    """Texts under the update that are no numbers of bulletins, with how many rows have each."""
    texts = _no_numbers(data, how)
    known = history_store.notes_by_number(desk.session, desk.shop.id, texts)
    return Counter({text: rows for text, rows in texts.items() if fold_id(text) not in known})


@lead_or_owner
def texts_on_file(desk: Desk, data: bytes, how: HowToRead) -> set[str]:
    """Of texts that look like no number those that are numbers of bulletins on file, folded."""
    return set(history_store.notes_by_number(desk.session, desk.shop.id, _no_numbers(data, how)))


def _no_numbers(data: bytes, how: HowToRead) -> Counter[str]:
    table = table_of(FORMATS[history.NAME], data, how)
    if table is None:
        return Counter()
    places = column_places(table.header, ("update",), how.columns)
    return texts_that_are_none(values_of(table, {table.header[at] for at in places.values()}))
