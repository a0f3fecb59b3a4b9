"""The search on pages: the reason shown, notes before past vehicles, words as typed, and what is learned."""

from __future__ import annotations

import re
from urllib.parse import parse_qs, urlsplit

import pytest
from sqlalchemy import select
from sqlmodel import col

from kb.desk.bay.concern import concerns
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.vehicles import CoverageLine
from kb.records.tables import SearchLog
from tests.factories import MAKE, MODEL, a_concern, a_note, a_vehicle, actor_of, an_update
from tests.web.browsing import Page, Visitor


def log(shop: RunningShop) -> list[tuple[str, int, str, int | None]]:
    with shop.records.reading() as session:
        rows = session.execute(select(SearchLog).order_by(col(SearchLog.id))).scalars()
        return [(row.text, row.found, row.opened_kind, row.opened_id) for row in rows]


def link(page: Page, start: str) -> str:
    return next(one for one in page.links if one.startswith(start))


def words_of(page: Page) -> str:
    return " ".join(page.text.split())


@pytest.fixture
def searched(sqlite_shop: RunningShop) -> RunningShop:
    """One lesson on file."""
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        notes.write_note(desk, a_note())
    return sqlite_shop


def test_the_page_says_why_each_note_was_found(bay: RunningShop) -> None:
    page = Visitor(bay).sign_in("tech").see("/search?q=jerkz+at+lite+throttle")
    said = words_of(page)
    assert "NV-24-101" in said
    assert re.search(r"jerkz read as jerks?\b", said)


def test_no_match_is_strong_before_make_and_model_are_known_and_the_page_asks_for_them(
    bay: RunningShop,
) -> None:
    tech, asked = Visitor(bay).sign_in("tech"), "/search?q=bucks+and+jerks+at+light+throttle+uphill"
    unknown, known = words_of(tech.see(asked)), words_of(tech.see(f"{asked}&make=Norvane&model=Tessel"))
    assert "partial match" in unknown
    assert "strong match" not in unknown
    assert "Which vehicle? With make, model and year" in unknown
    assert "strong match" in known
    assert "Which vehicle?" not in known


def test_what_nothing_is_about_is_said_above_what_is_nearest(bay: RunningShop) -> None:
    said = words_of(Visitor(bay).sign_in("tech").see("/search?q=glove+box+rattles&make=Norvane&model=Tessel"))
    assert said.index("Nothing on file is about this.") < said.index("NV-24-101")


def test_a_repair_order_typed_into_the_box_is_what_the_page_shows(bay: RunningShop) -> None:
    with bay.writing(actor_of(bay, "lead")) as desk:
        notes.write_note(desk, a_note(title="2087 rpm is where it surges"))
    visitor = Visitor(bay).sign_in("tech")
    for typed in ("RO+2087-A", "2087-a", "2087"):
        links = [one.split("?")[0] for one in visitor.see(f"/search?q={typed}").links if "?asked" in one]
        assert links[:1] == ["/concerns/1"], typed
        assert not any(one.startswith("/notes/") for one in links)


def test_past_vehicles_never_push_notes_out_of_sight(bay: RunningShop) -> None:
    with bay.writing(actor_of(bay, "tech")) as desk:
        for number in range(60):
            concerns.open_concern(desk, a_concern(ro_number=f"9{number}"))
    visitor = Visitor(bay).sign_in("tech")
    for address in ("/search?q=bucks+and+jerks+at+light+throttle+uphill", "/concerns/1"):
        links = [one.split("?")[0] for one in visitor.see(address).links if "?" in one]
        found = [one for one in links if re.fullmatch(r"/(notes|concerns)/\d+", one)]
        vehicles = [at for at, one in enumerate(found) if one.startswith("/concerns/")]
        assert found[0] == "/notes/1"
        assert 1 <= len(vehicles) <= 8
        assert vehicles == list(range(len(found) - len(vehicles), len(found)))
        assert "Past vehicles" in visitor.see(address).text


def test_a_corrected_word_can_be_searched_as_typed_and_put_right_again(searched: RunningShop) -> None:
    visitor = Visitor(searched).sign_in("tech")
    page = visitor.see("/search?q=idel+hunts&make=Norvane")
    assert "idel read as idle" in words_of(page)
    literal = visitor.see(next(one for one in page.links if "as_typed=idel" in one))
    assert "read as" not in words_of(literal).split("Results")[0]
    assert "idel searched for as typed" in words_of(literal)
    back = next(one for one in literal.links if one.startswith("/search?") and "as_typed" not in one)
    assert parse_qs(urlsplit(back).query) == {"q": ["idel hunts"], "make": ["Norvane"]}
    assert "idel read as idle" in words_of(visitor.see(back))


def test_only_what_is_sent_off_or_opened_is_kept(searched: RunningShop) -> None:
    visitor = Visitor(searched).sign_in("tech")
    typing = visitor.client.get("/search", params={"q": "idle hu", "part": "results"})
    assert log(searched) == []
    visitor.see("/search?q=idle+hunts")
    page = visitor.see("/search?q=idle+hunts")
    assert log(searched) == [("idle hunts", 1, "", None)]
    visitor.see(link(page, "/notes/1"))
    assert log(searched) == [("idle hunts", 1, "lesson", 1)]
    visitor.see(link(Page(typing.text), "/notes/1"))
    assert log(searched)[1:] == [("idle hu", 1, "lesson", 1)]


def test_a_lead_makes_shop_talk_of_words_that_found_nothing(searched: RunningShop) -> None:
    Visitor(searched).sign_in("tech").see("/search?q=blorpts+in+the+am+call+555-010-4477")
    lead = Visitor(searched).sign_in("lead")
    page = lead.see("/lexicon")
    assert "“blorpts in the am call”" in page.text
    assert "4477" not in page.text
    tap = link(page, "/lexicon?phrase=").split("#")[0]
    form = lead.see(tap).form("/lexicon")
    assert form.fields["phrase"] == ["blorpts call"]
    after = lead.send(tap, "/lexicon", {"phrase": "blorpts", "concept": "rough idle"})
    assert "Rough idle after a cold start" in words_of(after)
    assert "“blorpts” means rough" in words_of(after)
    assert "Everything that was asked found a note" in after.text
    lead.send("/lexicon", "/lexicon/1/undo")
    assert "“blorpts in the am call”" in lead.see("/lexicon").text


def test_a_note_tells_the_lead_which_words_led_to_it(searched: RunningShop) -> None:
    tech = Visitor(searched).sign_in("tech")
    opened = a_concern(complaint="idle hunts an blorpts")
    with searched.writing(actor_of(searched, "tech")) as desk:
        concern_id = concerns.open_concern(desk, opened).id
    tech.see(link(tech.see(f"/concerns/{concern_id}"), "/notes/1?"))
    at = f"/concerns/{concern_id}/close"
    answer = {"ending": "other_cause", "other_cause": "split hose", "explained_by": "1"}
    assert ("option", {"value": "1"}) in tech.see(at).tags
    tech.send(at, at, answer)
    assert "Words that led" not in tech.see("/notes/1").text
    lead = Visitor(searched).sign_in("lead")
    page = lead.see("/notes/1")
    assert "“idle hunts an blorpts”explained 1 concern · opened 1 time" in words_of(page).replace("” ", "”")
    form = lead.see(link(page, "/lexicon?phrase=").split("#")[0]).form("/lexicon")
    assert "blorpts" in form.fields["phrase"][0]
    assert form.fields["concept"][0] != ""


def test_the_vin_of_a_vehicle_that_was_here_tells_which_it_is(bay: RunningShop) -> None:
    vin = "1M8GDM9AXKP042788"  # the published example of the check digit, 49 CFR 565.15: model year 1989
    with bay.writing(actor_of(bay, "tech")) as desk:
        concerns.open_concern(desk, a_concern(ro_number="77", vehicle=a_vehicle(year=2018, vin=vin)))
    with bay.writing(actor_of(bay, "lead")) as desk:
        notes.write_note(desk, an_update(number="ZZ-1", coverage=(CoverageLine("Zed", "Zee"),)))
    tech = Visitor(bay).sign_in("tech")
    said = words_of(tech.see(f"/search?q={vin}+jerks+at+light+throttle"))
    assert f"Read as 2018 {MAKE} {MODEL} 2.0 L from" in said
    assert "Which vehicle?" not in said
    assert "NV-24-101" in said
    assert "ZZ-1" not in said


def test_a_year_alone_says_of_no_note_that_it_applies(bay: RunningShop) -> None:
    said = words_of(Visitor(bay).sign_in("tech").see("/search?q=jerks+at+light+throttle&year=2018"))
    assert f"bulletin · {MAKE} {MODEL}" in said
    assert "applies" not in said.split("Which vehicle?")[1]
