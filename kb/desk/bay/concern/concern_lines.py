"""Concerns as lines of a list, each with what it counts as today."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from kb.desk import settings as settings_desk
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.outcomes.observed import observed_in, stories_of
from kb.desk.context import Desk
from kb.nouns.bay.concern_file import ConcernLine, OtherConcern
from kb.nouns.concerns import Ending
from kb.outcomes.counts_as import closed_as_cured
from kb.outcomes.story import Story
from kb.records.store.bay import other_concerns as store


def concern_lines(desk: Desk, ids: Sequence[int]) -> dict[int, ConcernLine]:
    """Lines of the concerns with these ids; an id of nothing is left out."""
    if not ids:
        return {}
    found = store.concerns_with_ids(desk.session, desk.shop.id, ids)
    return {line.id: line for line in with_counted(desk, found)}


def with_counted(
    desk: Desk, concerns: Sequence[OtherConcern], told: Mapping[int, tuple[Story, ...]] | None = None
) -> tuple[ConcernLine, ...]:
    """Their lines, in the order given; `told` are the stories of their reflashes where they are at hand."""
    cured = {one.id: one.cured_by_note_id for one in concerns if is_cured(one.line.ending)}
    if told is None:
        told = stories_of(desk, cured) if cured else {}
    counted = counted_as(desk, cured, told)
    return tuple(replace(one.line, counted=counted.get(one.id, "")) for one in concerns)


def is_cured(ending: str) -> bool:
    return ending == Ending.CURED_BY_REFLASH.value


def counted_as(
    desk: Desk, cured_by: Mapping[int, int | None], told: Mapping[int, tuple[Story, ...]]
) -> dict[int, str]:
    """Of concerns that were closed as cured by their reflash: by id, what they count as today."""
    rule, kept = settings_desk.current(desk).window_rule(), updates_desk.on_file(desk).kept
    seen = observed_in(desk, {one: told.get(one, ()) for one in cured_by}, desk.today, rule)
    return {
        one: closed_as_cured(seen.get(one, ()), note and kept(note), rule, desk.today)
        for one, note in cured_by.items()
    }
