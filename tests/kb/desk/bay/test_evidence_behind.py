"""Every number of an advice can be opened: its counts are the concerns listed, or it names its guess."""

from __future__ import annotations

from typing import Any

import pytest

from kb.desk import settings
from kb.desk.bay.advice import advice, evidence_concerns
from kb.desk.bay.concern import concerns, findings
from kb.desk.context import RunningShop
from kb.errors import NotFound
from kb.nouns.advice import Evidence
from kb.nouns.concerns import FindingResult, FollowUpResult
from kb.nouns.notes import Grade
from tests.factories import a_concern, actor_of
from tests.kb.desk.bay.test_decisions import live_through
from tests.kb.desk.bay.test_stops_and_order import open_case


def sizes(shop: RunningShop, one: Evidence) -> dict[str, int]:
    grade = Grade(one.result) if one.key == "grade" else None
    with shop.reading(actor_of(shop, "tech")) as desk:
        found = evidence_concerns.evidence_behind(desk, one.key, 1, grade)
    for group in found.groups:
        assert len(group.lines) == group.count
    return {group.title: group.count for group in found.groups}


def test_the_counts_of_every_evidence_are_the_concerns_that_it_opens(shop: RunningShop, clock: Any) -> None:
    """Two vehicles cured, one came back; a fourth concern has other findings and no answer yet."""
    concern = open_case(shop)
    for result in (FollowUpResult.FINE, FollowUpResult.CAME_BACK, FollowUpResult.FINE):
        live_through(shop, clock, result)
    with shop.writing(actor_of(shop, "tech")) as desk:
        findings.put_finding(desk, concern, "smoke_test", FindingResult.NO)
        unanswered = concerns.open_concern(desk, a_concern(ro_number="9")).id
        findings.put_finding(desk, unanswered, "smoke_test", FindingResult.YES)
    with shop.reading(actor_of(shop, "tech")) as desk:
        [candidate] = advice.give_advice(desk, concern).candidates
    told = {one.key: one for one in candidate.evidence}
    start, match, leak, past = (told[key] for key in ("start", "grade", "smoke_test", "past"))
    assert (start.counts.cured, start.counts.not_cured) == (2, 1)
    assert sizes(shop, start) == {"cured by it": 2, "not cured by it": 1}
    assert sizes(shop, past) == {"cured by an update": 2, "not cured by one": 1}
    assert (leak.counts.yes_if_cured, leak.counts.cured) == (0, 2)
    assert (leak.counts.yes_if_not, leak.counts.not_cured) == (0, 1)
    assert sum(sizes(shop, leak).values()) == 3
    assert match.counts.total == sum(sizes(shop, match).values()) == 3


def test_concerns_past_the_most_that_are_listed_follow_the_last_one(
    shop: RunningShop, clock: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    open_case(shop)
    for result in (FollowUpResult.FINE, FollowUpResult.CAME_BACK, FollowUpResult.FINE):
        live_through(shop, clock, result)
    monkeypatch.setattr(evidence_concerns, "MOST_LINES", 1)
    seen, after = [], None
    with shop.reading(actor_of(shop, "tech")) as desk:
        for _ in range(3):
            cured = evidence_concerns.evidence_behind(desk, "past", after=after).groups[0]
            assert (cured.title, cured.count) == ("cured by an update", 2)
            seen.append([one.id for one in cured.lines])
            after = seen[-1][-1] if seen[-1] else after
    assert [len(one) for one in seen] == [1, 1, 0]
    assert seen[0] > seen[1]


def test_what_nothing_was_counted_for_says_whose_guess_it_is_and_what_that_weighs(shop: RunningShop) -> None:
    concern = open_case(shop)
    with shop.writing(actor_of(shop, "lead")) as desk:
        findings.put_finding(desk, concern, "smoke_test", FindingResult.NO)
        settings.change_setting(desk, "prior_cured_in_10", "3", "our last ten")
    with shop.reading(actor_of(shop, "tech")) as desk:
        said = advice.give_advice(desk, concern)
    told = {one.key: one for one in said.candidates[0].evidence}
    assert "No outcomes counted yet: these are guesses." in said.candidates[0].sentence
    assert all(one.is_guess for one in told.values())
    assert told["start"].guess == "starts at 3 in 10: the owner's answer; weight 8"
    assert told["smoke_test"].guess.startswith("1 of 10 cured, 4 of 10 not; weight 4, by ")
    assert sizes(shop, told["smoke_test"]) == {}


def test_what_is_no_evidence_cannot_be_opened(sqlite_shop: RunningShop) -> None:
    with sqlite_shop.reading(actor_of(sqlite_shop, "tech")) as desk:
        for key, update, grade in (("no_such_check", None, None), ("start", 99, None), ("grade", None, None)):
            with pytest.raises(NotFound):
                evidence_concerns.evidence_behind(desk, key, update, grade)
