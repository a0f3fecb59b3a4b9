"""Stories of reflashes gathered from the records: read by a window, and saved as what reports group by."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from sqlmodel import col

from kb.desk import settings as settings_desk
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.outcomes import Observation, WindowRule
from kb.outcomes.story import Story, concern_story
from kb.records.store.bay import sittings, writing
from kb.records.store.imports.bulk import runs
from kb.records.store.outcomes import stories as store
from kb.records.tables import Outcome

Observed = dict[int, tuple[Observation, ...]]
"""By concern, oldest first; modules of one sitting and update are one reflash of their concern."""


def gather(desk: Desk, as_of: date, rule: WindowRule | None = None) -> Observed:
    """Every installed reflash until `as_of`, read by the shop's window or `rule`."""
    return observed_in(desk, _stories(desk, None), as_of, rule)


def gather_chosen(desk: Desk, as_of: date, *chosen: Any, rule: WindowRule | None = None) -> Observed:
    """The same for the outcomes that fulfill conditions of the store, without reading the whole shop."""
    found = store.chosen(desk.session, desk.shop.id, col(Outcome.reflashed_on) <= as_of, *chosen)
    wanted = {outcome_id for outcome_id, _ in found}
    told = stories_of(desk, (concern_id for _, concern_id in found))
    of_them = {
        concern_id: tuple(one for one in some if one.reflash.outcome_id in wanted)
        for concern_id, some in told.items()
    }
    return observed_in(desk, of_them, as_of, rule)


def gather_of(
    desk: Desk, as_of: date, concern_ids: Iterable[int], rule: WindowRule | None = None
) -> Observed:
    """The same for some concerns."""
    return observed_in(desk, stories_of(desk, concern_ids), as_of, rule)


def stories_of(desk: Desk, concern_ids: Iterable[int]) -> dict[int, tuple[Story, ...]]:
    """Everything known of the installed reflashes of some concerns, oldest first."""
    told: dict[int, tuple[Story, ...]] = {}
    for some in runs(sorted(set(concern_ids))):
        told |= _stories(desk, some)
    return told


@anyone_in_the_shop
def renew_outcomes(desk: Desk, concern_ids: Iterable[int]) -> None:
    """Bring what reports group by up to what was done and heard of these concerns, a batch at a time."""
    desk.session.flush()
    for some in runs(sorted(set(concern_ids))):
        told = _stories(desk, some)
        columns = {one.reflash.outcome_id: one.columns() for each in told.values() for one in each}
        writing.put(desk.session, Outcome, columns)


def renew_vehicles(desk: Desk, vehicle_ids: Iterable[int]) -> None:
    """A reflash ends the count of an earlier one of the same module, of whatever concern."""
    renew_outcomes(desk, sittings.concerns_reflashed(desk.session, vehicle_ids))


def _stories(desk: Desk, concern_ids: Sequence[int] | None) -> dict[int, tuple[Story, ...]]:
    heard = store.heard(desk.session, desk.shop.id, concern_ids)
    done = store.reflashed(desk.session, desk.shop.id, concern_ids)
    return {concern_id: concern_story(some, heard.get(concern_id, ())) for concern_id, some in done.items()}


def observed_in(
    desk: Desk, told: Mapping[int, tuple[Story, ...]], as_of: date, rule: WindowRule | None
) -> Observed:
    """Stories read by the shop's window or `rule`."""
    window = rule or settings_desk.current(desk).window_rule()
    kept = updates_desk.on_file(desk).kept
    found: Observed = {}
    for concern_id, some in told.items():
        counted = (one for one in some if one.counted and one.reflash.reflashed_on <= as_of)
        seen = (one.seen_by(window, as_of) for one in counted)
        found_here = tuple(one.counted_for(kept(one.update_id)) for one in seen)
        if found_here:
            found[concern_id] = found_here
    return found
