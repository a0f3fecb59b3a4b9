"""Two groups side by side as the owner reads them: one conclusion, the shop's words, no rate too early."""

from __future__ import annotations

from datetime import timedelta

import pytest

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from tests.factories import actor_of, an_update
from tests.kb.desk.imports.importing import history, take
from tests.web.browsing import Page
from tests.web.conftest import SignIn

VERDICTS = (
    "than luck alone explains",
    "Too close to tell.",
    "The two tests disagree",
    "Cannot tell yet",
    "Too early",
    "Too many wait or were not heard of",
)


def group(
    shop: RunningShop, update: str, first: int, ago: int, *heard: dict[str, int]
) -> list[dict[str, str]]:
    """One vehicle for each of `heard` (days after the reflash), reflashed `ago` days back."""
    with shop.reading(actor_of(shop, "lead")) as desk:
        begin = desk.today - timedelta(ago)
    dated = {"ro_number": "", "update": update, "opened_on": str(begin), "reflashed_on": str(begin)}
    return [
        dated | {"ro_number": str(first + n)} | {key: str(begin + timedelta(d)) for key, d in one.items()}
        for n, one in enumerate(heard)
    ]


FINE, BACK, SILENT = {"last_seen_on": 95}, {"returned_on": 5}, {}


@pytest.fixture
def two(sqlite_shop: RunningShop) -> RunningShop:
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        for number in ("A-1", "B-2"):
            notes.write_note(desk, an_update(number=number))
    return sqlite_shop


def said(page: Page) -> str:
    text = " ".join(page.text.split())
    assert sum(one in text for one in VERDICTS) == 1
    return text


def test_too_few_answers_leave_the_figures_without_a_verdict(two: RunningShop, signed_in: SignIn) -> None:
    """26 of 26 cured against 0 of 5: far apart by both tests, but five answers conclude nothing."""
    take(
        two,
        "history",
        history(
            *group(two, "A-1", 100, 200, *[FINE] * 26), *group(two, "B-2", 200, 200, *[BACK] * 5, SILENT)
        ),
    )
    text = said(signed_in("owner").see("/review/compare?first=1&second=2"))
    assert "Cannot tell yet: the second group has fewer than 10 vehicles with a known answer." in text
    assert "26 cured, 0 not" in text
    assert "0 cured, 5 not, 1 not heard of" in text
    assert "of only 5 known" in text
    assert "log-rank p under 0.001" in text


def test_a_group_younger_than_the_window_has_no_rate(two: RunningShop, signed_in: SignIn) -> None:
    young = group(two, "B-2", 200, 60, *[BACK] * 12, *[SILENT] * 9)
    take(two, "history", history(*group(two, "A-1", 100, 200, *[FINE] * 26), *young))
    owner = signed_in("owner")
    text = said(owner.see("/review/compare?first=1&second=2"))
    assert "Too early: no vehicle of the second group could have reached the end of its window yet" in text
    assert "0 cured, 12 not, 9 waiting" in text
    assert "log-rank" not in text
    assert "points" not in text
    taken = owner.client.get("/review/compare.csv?first=1&second=2").text
    assert taken.splitlines()[-1].endswith(",,,,,too early")


def test_tests_that_disagree_are_said_to_and_conclude_nothing(two: RunningShop, signed_in: SignIn) -> None:
    """28 of 40 of either come back, all at once or all on the last day: alike at day 90, unlike before."""
    late, at_once = {"returned_on": 90}, {"returned_on": 1}
    both = (
        *group(two, "A-1", 100, 200, *[late] * 28, *[FINE] * 12),
        *group(two, "B-2", 200, 200, *[at_once] * 28, *[FINE] * 12),
    )
    take(two, "history", history(*both))
    text = said(signed_in("owner").see("/review/compare?first=1&second=2"))
    assert "the rates at 90 days are too close to tell; the whole curves differ by more than luck" in text


def test_the_better_followed_group_is_named_and_too_close_is_not_called_likeness(
    two: RunningShop, signed_in: SignIn
) -> None:
    both = (
        *group(two, "A-1", 100, 200, *[FINE] * 18, *[BACK] * 2, *[SILENT] * 20),
        *group(two, "B-2", 200, 200, *[FINE] * 17, *[BACK] * 3),
    )
    take(two, "history", history(*both))
    text = said(signed_in("owner").see("/review/compare?first=1&second=2"))
    assert "Too close to tell. Neither test tells the groups apart" in text
    assert "The second group was followed up much better" in text
    assert "20 of its 20 vehicles, in the first group of 20 of 40" in text


def test_a_difference_that_silence_could_turn_round_is_left_open(two: RunningShop, signed_in: SignIn) -> None:
    """28 of 30 against 4 of 14 known; were the 190 others of the second group fine, it would be ahead."""
    both = (
        *group(two, "A-1", 100, 200, *[FINE] * 28, *[BACK] * 2),
        *group(two, "B-2", 300, 200, *[FINE] * 4, *[BACK] * 10, *[SILENT] * 190),
    )
    take(two, "history", history(*both))
    text = said(signed_in("owner").see("/review/compare?first=1&second=2"))
    assert "were all of these fine in the second group, the rest would be too close to tell" in text
