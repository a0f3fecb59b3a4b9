"""Concerns as lines of a list, by id."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sqlmodel import col

from kb.desk import settings as settings_desk
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.concern.vehicles import vehicle_of
from kb.desk.bay.concern.views import ConcernLine
from kb.desk.bay.outcomes.observed import gather_chosen
from kb.desk.context import Desk
from kb.nouns.concerns import Ending
from kb.outcomes.counts_as import closed_as_cured
from kb.records.store.bay import concerns as store
from kb.records.store.bay.concerns import ConcernOnFile
from kb.records.tables import Outcome


def concern_lines(desk: Desk, ids: Sequence[int]) -> dict[int, ConcernLine]:
    """Lines of the concerns with these ids; an id of nothing is left out."""
    if not ids:
        return {}
    found = store.concerns_with_ids(desk.session, desk.shop.id, ids)
    return {line.id: line for line in lines_of(desk, found)}


def lines_of(desk: Desk, every: Sequence[ConcernOnFile]) -> tuple[ConcernLine, ...]:
    """In the order given."""
    counted = counted_as(desk, every)
    return tuple(
        ConcernLine(
            id=held.concern.id or 0,
            ref=ref_of(held.repair_order.number, held.concern.line),
            complaint=held.concern.complaint,
            vehicle=vehicle_of(held.vehicle),
            state=held.concern.state,
            opened_on=held.concern.opened_on,
            ending=held.concern.ending,
            other_cause=held.concern.other_cause,
            counted=counted.get(held.concern.id or 0, ""),
        )
        for held in every
    )


def counted_as(desk: Desk, every: Iterable[ConcernOnFile]) -> dict[int, str]:
    """By id, of those closed as cured by their reflash: what they count as today."""
    cured_by = {
        one.concern.id or 0: one.concern.cured_by_note_id
        for one in every
        if one.concern.ending == Ending.CURED_BY_REFLASH.value
    }
    if not cured_by:
        return {}
    seen = gather_chosen(desk, desk.today, col(Outcome.concern_id).in_(cured_by))
    rule, kept = settings_desk.current(desk).window_rule(), updates_desk.on_file(desk).kept
    return {
        one: closed_as_cured(seen.get(one, ()), note and kept(note), rule, desk.today)
        for one, note in cured_by.items()
    }


def ref_of(ro_number: str, line: str) -> str:
    """A concern's name on paper: "RO 2087-A"."""
    return f"RO {ro_number}-{line}" if line else f"RO {ro_number}"
