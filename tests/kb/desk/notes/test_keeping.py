"""Keeping notes true: looked at, taken up again, replaced, and the queues of what waits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

import pytest

from kb.desk.bay.advice import advice, updates
from kb.desk.bay.advice.learning import carry_overs
from kb.desk.bay.concern import concerns
from kb.desk.bay.search import search_use
from kb.desk.bay.search.search import SearchRequest, search
from kb.desk.context import RunningShop
from kb.desk.notes import keeping, notes, search_words
from kb.desk.review import queues
from kb.errors import BadInput, Conflict, NotFound
from kb.nouns.learning import CarryOver
from kb.nouns.notes import RECALLS, NoteDraft, NoteState
from kb.nouns.people import Actor
from kb.nouns.vehicles import CalibrationStep, CoverageLine
from tests.conftest import StandingClock
from tests.factories import a_concern, a_note, an_update
from tests.kb.desk.imports.importing import history, take
from tests.statements import statements_of

pytestmark = pytest.mark.both_databases

LEAD, TECH = Actor(0, "lead", "lead"), Actor(0, "tech", "tech")
OTHER_MAKE = (CoverageLine("Orsel", "Pellow"),)


def write(shop: RunningShop, *drafts: NoteDraft) -> list[int]:
    with shop.writing(LEAD) as desk:
        return [notes.write_note(desk, one).id for one in drafts]


def waiting(shop: RunningShop) -> dict[str, int]:
    with shop.reading(LEAD) as desk:
        return {one.queue: one.count for one in queues.waiting(desk)}


def look_at(shop: RunningShop, note_id: int, version: int = 1, again_on: date | None = None) -> None:
    with shop.writing(LEAD) as desk:
        keeping.look_at(desk, note_id, version, again_on)


def test_a_note_is_asked_about_a_year_after_somebody_looked_at_it(
    shop: RunningShop, clock: StandingClock
) -> None:
    note_id, draft_id = write(shop, a_note(), a_note(state=NoteState.DRAFT))
    clock.move(days=364)
    assert "look-again" not in waiting(shop)
    clock.move(days=1)
    assert waiting(shop)["look-again"] == 1
    look_at(shop, note_id)
    with shop.reading(LEAD) as desk:
        seen = notes.read_note(desk, note_id)
        assert (seen.looked_at_on, seen.looked_at_by, seen.version) == (desk.today, "lead", 1)
        assert queues.to_look_at(desk).items == ()
        assert [one.line.id for one in queues.drafts(desk).items] == [draft_id]
    clock.move(days=365)
    assert waiting(shop)["look-again"] == 1
    with shop.writing(LEAD) as desk:
        notes.change_note(desk, note_id, 1, a_note(body="Look at the clamp too."))
    assert "look-again" not in waiting(shop), "whoever saves it has looked at it"


def test_a_day_of_ones_own_is_kept_and_a_stale_look_refused(shop: RunningShop, clock: StandingClock) -> None:
    [note_id] = write(shop, a_note())
    with shop.reading() as desk:
        today = desk.today
    for wrong in (today, today + timedelta(days=3000)):
        with pytest.raises(BadInput):
            look_at(shop, note_id, again_on=wrong)
    look_at(shop, note_id, again_on=today + timedelta(days=30))
    clock.move(days=30)
    assert waiting(shop)["look-again"] == 1
    with pytest.raises(Conflict):
        look_at(shop, note_id, version=2)


def test_a_recall_of_a_file_is_asked_about_only_once_somebody_used_it(
    shop: RunningShop, clock: StandingClock
) -> None:
    unused, used = write(
        shop, an_update(source=RECALLS, number="26V001"), an_update(source=RECALLS, number="26V002")
    )
    with shop.records.writing() as session:
        from sqlalchemy import text

        session.execute(text("UPDATE note SET looked_at_on = NULL, looked_at_by = ''"))
    take(shop, "history", history({"update": "26V-002"}))
    clock.move(days=400)
    with shop.reading(LEAD) as desk:
        [one] = queues.to_look_at(desk).items
    assert (one.line.id, one.reflashes) == (used, 1)
    assert unused != used


def test_an_old_version_is_taken_up_again_as_a_new_one(shop: RunningShop) -> None:
    [note_id] = write(shop, an_update(state=NoteState.DRAFT))
    with shop.writing(LEAD) as desk:
        changed = notes.change_note(desk, note_id, 1, an_update(title="Wrong", steps=()))
        with pytest.raises(Conflict):
            keeping.restore(desk, note_id, 1, 1)
        with pytest.raises(NotFound):
            keeping.restore(desk, note_id, 2, 7)
        again = keeping.restore(desk, note_id, changed.version, 1)
        newest = notes.list_revisions(desk, note_id)[0]
    assert again.content == replace(an_update(), remedy=again.content.remedy)
    assert again.content.state is NoteState.PUBLISHED, "what is published stays so"
    assert (again.version, newest.why) == (3, "Version 1 again")


OLD = an_update(number="NV-20-001")
NEW = an_update(
    number="NV-24-101", replaces=("nv 20/001",), steps=(CalibrationStep("PCM", ("NV20",), "NV21"),)
)


def found(shop: RunningShop) -> list[tuple[int, Sequence[str]]]:
    with shop.reading(TECH) as desk:
        results = search(
            desk, SearchRequest("bucks and jerks at light throttle", kinds=("bulletin",))
        ).results
    return [(one.id, [newer.number for newer in one.replaced_by]) for one in results]


def test_a_replaced_note_is_shown_as_such_ranks_below_and_is_no_candidate(shop: RunningShop) -> None:
    better_words = replace(OLD, title="Bucks and jerks at light throttle: bucks, jerks")
    old, new = write(shop, better_words, NEW)
    assert found(shop) == [(new, []), (old, ["NV-24-101"])]
    with shop.writing(TECH) as desk:
        opened = concerns.open_concern(desk, a_concern())
    with shop.reading(TECH) as desk:
        [candidate] = advice.give_advice(desk, opened.id).candidates
        assert candidate.note == new
        assert carry_overs(updates.on_file(desk)) == (CarryOver(new, old),)
        assert [one.id for one in keeping.replaced_by(desk, old)] == [new]
        assert [one.id for one in keeping.replaces(desk, new)] == [old]
    with shop.writing(LEAD) as desk:
        notes.retire_note(desk, new, 1, "withdrawn by the manufacturer")
    assert found(shop) == [(old, [])]


def test_a_number_of_another_make_replaces_nothing_and_no_note_itself(shop: RunningShop) -> None:
    old, new = write(shop, OLD, replace(NEW, coverage=OTHER_MAKE))
    assert [one for one, newer in found(shop) if newer] == []
    with pytest.raises(BadInput, match="replace itself"):
        write(shop, replace(OLD, replaces=("NV20001",)))
    assert old != new


def test_a_lesson_without_number_is_replaced_by_its_id(shop: RunningShop) -> None:
    [old] = write(shop, a_note())
    [new] = write(shop, a_note(title="Cracked hose, with pictures", replaces=(f"#{old}",)))
    with shop.reading(TECH) as desk:
        assert [one.id for one in keeping.replaced_by(desk, old)] == [new]


def test_words_that_found_nothing_wait_until_set_aside_and_come_again_when_asked_again(
    shop: RunningShop, clock: StandingClock
) -> None:
    def ask() -> None:
        with shop.writing(TECH) as desk:
            search_use.record_search(desk, "wipers squeak sideways", 0, "")

    ask()
    assert waiting(shop)["unanswered"] == 1
    with shop.writing(LEAD) as desk:
        assert search_words.set_aside(desk, "Wipers squeak sideways") == 1
    assert "unanswered" not in waiting(shop)
    clock.move(days=1)
    ask()
    assert waiting(shop)["unanswered"] == 1


def test_words_that_found_nothing_are_searched_again_once_for_the_list_and_its_count(
    shop: RunningShop,
) -> None:
    with shop.writing(TECH) as desk:
        search_use.record_search(desk, "wipers squeak sideways", 0, "")
    with shop.reading(LEAD) as desk, statements_of(shop.records.engine) as asked:
        [one] = search_words.found_nothing(desk)
        counts = {one.queue: one.count for one in queues.waiting(desk)}
    assert (one.text, counts["unanswered"]) == ("wipers squeak sideways", 1)
    assert sum("search_log.text" in statement for statement in asked) == 1


def test_a_history_leaves_drafts_to_look_through_with_what_counts_for_them(shop: RunningShop) -> None:
    take(shop, "history", history({"ro_number": "1"}, {"ro_number": "2"}))
    with shop.reading(LEAD) as desk:
        [one] = queues.drafts(desk).items
        assert (one.line.number, one.reflashes) == ("NV-24-101", 2)
        assert queues.spoken_against(desk) == ()
