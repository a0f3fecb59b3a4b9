"""A history in which reflashed vehicles were here again: seen and not asked, or perhaps the old concern."""

from __future__ import annotations

import pytest

from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.calls import answers_here, call_list, here_again
from kb.desk.context import RunningShop
from kb.desk.imports import import_undo, imports
from kb.errors import Conflict
from kb.nouns.concerns import FollowUpResult, SaidHere
from kb.nouns.outcomes import Standing
from tests.kb.desk.calls.closing_the_loop import standing
from tests.kb.desk.imports.importing import LEAD, TECH, everything, history, take

pytestmark = pytest.mark.both_databases
VIN = "1G4AH59H45G118341"
FIRST = {"vin": VIN, "year": "2005"}
OTHER = FIRST | {
    "ro_number": "3010",
    "opened_on": "2026-05-20",
    "complaint": "squeaks over bumps",
    "update": "",
    "reflashed_on": "",
    "gone_at_road_test": "",
    "codes": "",
}
LIKE = OTHER | {"ro_number": "3011", "opened_on": "2026-05-25", "complaint": "still bucking going uphill"}


def heard(shop: RunningShop, concern: int = 1) -> list[tuple[FollowUpResult, str]]:
    with shop.reading(TECH) as desk:
        return [(one.said.result, str(one.said.seen_on)) for one in read_concern(desk, concern).follow_ups]


def test_a_visit_without_that_complaint_is_seen_and_not_asked_and_makes_no_cure(shop: RunningShop) -> None:
    """The visit lies on day 79 of a window of 90; the reflash stays silent since day 0."""
    take(shop, "history", history(FIRST, OTHER))
    assert heard(shop) == [(FollowUpResult.SEEN_NOT_ASKED, "2026-05-20")]
    assert standing(shop) == [(Standing.OVERDUE, 0)]


@pytest.mark.parametrize("files", [(OTHER, FIRST), (FIRST, OTHER)])
def test_in_whatever_order_the_files_come_and_taking_one_back_leaves_no_trace(
    shop: RunningShop, files: tuple[dict[str, str], dict[str, str]]
) -> None:
    take(shop, "history", history(files[0]))
    before = everything(shop)
    second = take(shop, "history", history(files[1]))
    reflashed = 1 if files[0] is FIRST else 2
    assert heard(shop, reflashed) == [(FollowUpResult.SEEN_NOT_ASKED, "2026-05-20")]
    import_undo.undo_import(shop, LEAD, second.id)
    assert everything(shop) == before


def test_the_first_of_two_files_can_be_taken_back_while_the_other_stays(shop: RunningShop) -> None:
    first = take(shop, "history", history(FIRST))
    take(shop, "history", history(OTHER))
    import_undo.undo_import(shop, LEAD, first.id)
    with shop.reading(LEAD) as desk:
        kept = imports.read_import(desk, first.id).kept
        assert [one.noun for one in kept] == ["vehicle"]  # that of the other file
    assert standing(shop) == []


def test_the_same_file_again_says_nothing_twice(shop: RunningShop) -> None:
    for _ in range(2):
        take(shop, "history", history(FIRST, OTHER))
    assert len(heard(shop)) == 1


def test_what_is_known_from_that_day_on_needs_no_visit(shop: RunningShop) -> None:
    take(shop, "history", history(FIRST | {"last_seen_on": "2026-06-30"}, OTHER))
    assert heard(shop) == [(FollowUpResult.FINE, "2026-06-30")]


def test_a_visit_with_a_like_complaint_counts_nothing_and_is_proposed_to_whoever_calls(
    shop: RunningShop,
) -> None:
    take(shop, "history", history(FIRST, LIKE))
    assert standing(shop) == [(Standing.OVERDUE, 0)]
    with shop.reading(TECH) as desk:
        due = call_list.due(desk)[0]
        assert (due.concern_id, due.proposed, due.tried_on) == (1, 2, None)
        assert here_again.asked_first(desk, 2)[0].alike == ("bucking",)
    with shop.writing(TECH) as desk:
        answers_here.answer_here(desk, 2, 1, SaidHere.OLD_ONE)
    assert standing(shop) == [(Standing.COMEBACK, 84)]
    with shop.writing(TECH) as desk, pytest.raises(Conflict):
        answers_here.answer_here(desk, 2, 1, SaidHere.STILL_FIXED)
