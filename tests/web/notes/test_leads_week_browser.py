"""A lead's week at 1280 px, by keyboard alone in a real Chromium, and a technician's proposals on a phone."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from kb.desk.bay.search import search_use
from kb.desk.context import RunningShop
from kb.desk.imports import imports
from kb.desk.notes import notes, proposals
from kb.nouns.bay.proposals import ProposalState
from kb.nouns.notes import NoteState
from tests.conftest import StandingClock
from tests.factories import actor_of
from tests.kb.desk.imports.importing import history
from tests.web.browsing import give_passwords
from tests.web.chromium import Screen, screen, served

pytestmark = pytest.mark.browser

HISTORY = history({"ro_number": "901", "update": "NV-19-007"}, {"ro_number": "902", "update": "NV-19-007"})


@pytest.fixture
def url(bay: RunningShop, clock: StandingClock) -> Iterator[str]:
    """The bay a year later, with a history brought in and words that found nothing."""
    lead, tech = actor_of(bay, "lead"), actor_of(bay, "tech")
    give_passwords(bay)
    clock.move(days=370)
    imports.run_import(bay, lead, "history", "history.csv", HISTORY)
    with bay.writing(tech) as desk:
        search_use.record_search(desk, "wipers squeak sideways", 0, "")
    with served(bay) as address:
        yield address


def proposed_on_a_phone(browser: Browser, url: str) -> None:
    """Two lessons and what a bulletin says otherwise, at 390 px."""
    phone = screen(browser, url)
    phone.sign_in("tech")
    for title in ("Purge valve first", "Listen for the hose"):
        phone.open("/concerns/1")
        phone.page.click("text=Make a lesson of this")
        assert phone.fits()
        phone.page.fill("#title", title)
        phone.page.click("text=Propose it to the lead")
        said = phone.page.locator("#learned + ul li").first
        expect(said).to_contain_text(title)
        expect(said).to_contain_text("proposed, waiting for the lead")
    phone.open("/notes/1/otherwise?for_concern=1")
    phone.page.fill("#says", "It ends with 2020")
    with phone.page.expect_navigation():
        phone.page.click("text=Tell the lead")
    phone.open("/concerns")
    assert phone.fits()
    expect(phone.page.locator("#proposed + ul li")).to_have_count(3)
    assert phone.troubles == []


def at_keys(desk: Screen) -> None:
    """Until the page's script listens: what is pressed before it is lost."""
    expect(desk.page.locator("[data-keys]")).to_be_visible()


def left(desk: Screen, count: int) -> None:
    expect(desk.page.locator("[data-item]")).to_have_count(count)
    at_keys(desk)


def press(desk: Screen, *keys: str) -> None:
    for key in keys:
        desk.page.keyboard.press(key)


def in_hand(desk: Screen) -> str:
    return desk.page.locator("[data-item][aria-current]").inner_text()


def empty_the_proposals(desk: Screen) -> None:
    assert "Purge valve first" in in_hand(desk), "the oldest first"
    press(desk, "j")
    assert "Listen for the hose" in in_hand(desk)
    press(desk, "d")
    desk.page.keyboard.type("We have that one.")
    press(desk, "Enter")
    left(desk, 2)
    press(desk, "k", "a")
    desk.page.keyboard.type("Good catch.")
    press(desk, "Escape", "p")
    left(desk, 1)
    press(desk, "c")
    desk.page.wait_for_url("**/edit?proposal=3")
    desk.page.focus("#coverage")
    press(desk, "Control+a")
    desk.page.keyboard.type("Norvane | Tessel | 2017-2020")
    desk.page.focus("#answer")
    desk.page.keyboard.type("You are right.")
    press(desk, "Enter")
    desk.page.wait_for_url("**/queues/proposals")
    expect(desk.page.locator("main")).to_contain_text("Nothing is proposed")
    at_keys(desk)


def empty_the_drafts(desk: Screen) -> None:
    assert "2 reflashes counted" in in_hand(desk)
    press(desk, "r")
    desk.page.keyboard.type("no bulletin of that number")
    press(desk, "Enter")
    expect(desk.page.locator("main")).to_contain_text("No draft waits")
    at_keys(desk)


def empty_what_nobody_looked_at(desk: Screen) -> None:
    assert "Rough idle after a cold start" in in_hand(desk)
    press(desk, "l")
    expect(desk.page.locator("main")).to_contain_text("Everything was looked at within a year")
    at_keys(desk)


def empty_the_unanswered(desk: Screen) -> None:
    assert "wipers squeak sideways" in in_hand(desk)
    press(desk, "x")
    expect(desk.page.locator("main")).to_contain_text("Everything that was asked found something")
    at_keys(desk)


def test_every_queue_is_emptied_by_keyboard_and_the_bay_reads_the_answers(
    browser: Browser, bay: RunningShop, url: str
) -> None:
    proposed_on_a_phone(browser, url)
    desk = screen(browser, url, 1280)
    desk.sign_in("lead")
    waits = desk.page.locator("text=Waiting for you")
    expect(waits).to_have_text(
        "Waiting for you: 3 proposed · 1 in draft · 2 not looked at for a year · 1 asked, nothing found"
    )
    waits.locator("a").first.focus()
    press(desk, "Enter")
    desk.page.wait_for_url("**/queues/proposals")
    at_keys(desk)
    empty_the_proposals(desk)
    for number, name, empty in (
        ("2", "drafts", empty_the_drafts),
        ("4", "look-again", empty_what_nobody_looked_at),
        ("5", "unanswered", empty_the_unanswered),
    ):
        press(desk, number)
        desk.page.wait_for_url(f"**/queues/{name}")
        at_keys(desk)
        assert desk.fits()
        empty(desk)
    desk.open("/concerns")
    expect(desk.page.locator("text=Waiting for you")).to_have_count(0)
    assert desk.troubles == []
    with bay.reading(actor_of(bay, "tech")) as read:
        answers = {one.answer: one.state for one in proposals.waiting_and_answered(read)}
        assert notes.read_note(read, 1).content.coverage[0].years == ((2017, 2020),)
        [draft] = notes.list_notes(read, notes.NoteFilter(text="NV-19-007")).lines
    assert draft.state is NoteState.RETIRED
    assert answers == {
        "Good catch.": ProposalState.TAKEN,
        "We have that one.": ProposalState.DECLINED,
        "You are right.": ProposalState.TAKEN,
    }


def test_without_script_every_queue_is_a_page_of_plain_forms(browser: Browser, url: str) -> None:
    plain = screen(browser, url, 390, script=False)
    plain.sign_in("lead")
    plain.open("/queues/look-again")
    assert plain.fits()
    expect(plain.page.locator("[data-keys]")).to_be_hidden()
    plain.page.locator("[data-item] >> text=Still right").first.click()
    expect(plain.page.locator("[data-item]")).to_have_count(1)
    plain.open("/notes/1/revisions")
    plain.open("/queues/unanswered")
    plain.page.click("text=Set aside")
    expect(plain.page.locator("main")).to_contain_text("is set aside")
