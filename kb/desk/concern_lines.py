"""Concerns as lines of a list, by id."""

from __future__ import annotations

from collections.abc import Sequence

from kb.desk.context import Desk
from kb.desk.vehicles import vehicle_of
from kb.desk.views import ConcernLine
from kb.records.store import concerns as store
from kb.records.store.concerns import ConcernOnFile


def concern_lines(desk: Desk, ids: Sequence[int]) -> dict[int, ConcernLine]:
    """Lines of the concerns with these ids; an id of nothing is left out."""
    if not ids:
        return {}
    return {line.id: line for line in map(line_of, store.concerns_with_ids(desk.session, desk.shop.id, ids))}


def line_of(held: ConcernOnFile) -> ConcernLine:
    return ConcernLine(
        id=held.concern.id or 0,
        ref=ref_of(held.repair_order.number, held.concern.line),
        complaint=held.concern.complaint,
        vehicle=vehicle_of(held.vehicle),
        state=held.concern.state,
        opened_on=held.concern.opened_on,
        ending=held.concern.ending,
        other_cause=held.concern.other_cause,
    )


def ref_of(ro_number: str, line: str) -> str:
    """A concern's name on paper: "RO 2087-A"."""
    return f"RO {ro_number}-{line}" if line else f"RO {ro_number}"
