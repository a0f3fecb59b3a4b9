"""For the next shift: one line on top, clocks in the list, the tag; each ends with what it waited for."""

from __future__ import annotations

import pytest

from kb.desk.bay.concern import closing, concerns, facts, findings
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.handover import waiting
from kb.desk.bay.programming import programming, release
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.bay.clocks import Clock
from kb.nouns.bay.waiting import WaitingFor
from kb.nouns.concerns import Ending, FindingResult, ModuleResult, ProgrammingEventDraft, ReflashResult
from tests.conftest import StandingClock
from tests.factories import a_concern, actor_of, an_update, headers_of
from tests.web.conftest import SignIn

PAGE = "/concerns/1"


def on_file(shop: RunningShop) -> tuple[tuple[Clock, ...], WaitingFor | None]:
    with shop.reading(actor_of(shop, "tech")) as desk:
        file = read_concern(desk, 1)
    return file.clocks, file.waiting.waiting_for if file.waiting else None


def test_one_tapped_line_says_what_is_next_and_who_on_the_concern_and_in_the_list(
    bay: RunningShop, signed_in: SignIn
) -> None:
    tech = signed_in("tech")
    tech.send(PAGE, f"{PAGE}/next", {"what": "road test", "who": "next shift", "other": ""})
    for page in (tech.see(PAGE), tech.see("/concerns")):
        said = " ".join(page.text.split())
        assert "Next: road test" in said
        assert "next shift" in said
    tech.send(PAGE, f"{PAGE}/next", {"what": "road test", "other": "plug in the charger", "who": "tech"})
    assert "Next: plug in the charger" in tech.see("/concerns").text
    page = tech.send(PAGE, f"{PAGE}/next", {"other": "x" * 121}, expect=422)
    assert "at most 120 characters" in page.text
    with bay.writing(actor_of(bay, "tech")) as desk:
        closing.close_concern(desk, 1, Ending.SENT_TO_DEALER)
    assert "Next:" not in tech.see(PAGE).text
    with bay.writing(actor_of(bay, "tech")) as desk:
        closing.reopen_concern(desk, 1)
    assert "Next: plug in the charger" in tech.see(PAGE).text, "an ending taken back takes nothing else back"


def test_a_soak_has_its_tag_is_what_it_waits_for_and_comes_first_when_it_is_over(
    bay: RunningShop, signed_in: SignIn, clock: StandingClock
) -> None:
    with bay.writing(actor_of(bay, "tech")) as desk:
        concerns.open_concern(desk, a_concern(ro_number="99"))
    tech = signed_in("tech")
    tech.send(PAGE, f"{PAGE}/clocks", {"kind": "soak", "until": "7:40 AM"})
    assert "cold soak until Nov 1 7:40 AM" in tech.see("/concerns").text
    page = tech.see(PAGE)
    tag = next(link for link in page.links if "/tag/" in link)
    said = " ".join(tech.see(tag).text.split())
    assert "DO NOT START until Nov 1 7:40 AM cold soak, RO 2087-A" in said
    assert on_file(bay)[1] is WaitingFor.SOAK
    listed = tech.see("/concerns").html
    assert listed.index("RO 99-A") < listed.index("RO 2087-A")
    clock.move(days=1)
    listed = tech.see("/concerns").html
    assert listed.index("RO 2087-A") < listed.index("RO 99-A")
    assert "cold soak over since 7:40 AM" in listed
    tech.see(tag, 404)
    number = on_file(bay)[0][0].id
    tech.send(PAGE, f"/clocks/{number}/end")
    assert on_file(bay) == ((), None)


@pytest.mark.parametrize("ends", ["goes on", "finding", "closed"])
def test_a_clock_ends_by_itself_with_what_it_waited_for(
    bay: RunningShop, signed_in: SignIn, ends: str
) -> None:
    asked = {"kind": "check", "minutes": "600", "ends_with": "cold_soak_sensors", "remark": "Compare sensors"}
    tech = signed_in("tech")
    tech.send(PAGE, f"{PAGE}/clocks", asked)
    tech.send(PAGE, f"{PAGE}/clocks", asked)  # tapped twice: one clock
    ((one,), waits) = on_file(bay)
    assert (one.kind.value, one.remark, waits) == ("soak", "Compare sensors", WaitingFor.SOAK)
    with bay.writing(actor_of(bay, "tech")) as desk:
        if ends == "goes on":
            waiting.go_on(desk, 1)
        elif ends == "finding":
            findings.put_finding(desk, 1, "smoke_test", FindingResult.NO)
            assert read_concern(desk, 1).clocks
            findings.put_finding(desk, 1, "cold_soak_sensors", FindingResult.NO)
        else:
            closing.close_concern(desk, 1, Ending.SENT_TO_DEALER)
    assert on_file(bay) == ((), None)


def test_a_relearn_on_the_release_list_offers_its_clock_and_ends_it(
    bay: RunningShop, signed_in: SignIn
) -> None:
    with bay.writing(actor_of(bay, "lead")) as desk:
        note = notes.write_note(desk, an_update(number="NV-9", relearns=("idle relearn, 20 min",))).id
        facts.put_gate(desk, 1, "battery", "fine")
        done = ModuleResult("PCM", ReflashResult.COMPLETED, note, "NV10A", "NV10B", concern_ids=(1,))
        programming.record_event(desk, ProgrammingEventDraft((done,), desk.today))
    tech = signed_in("tech")
    page = tech.see(f"{PAGE}/release")
    assert "Start its clock: 20 min" in page.text
    page = tech.send(f"{PAGE}/release", f"{PAGE}/clocks")
    assert "relearn until 12:20 PM: idle relearn, 20 min" in page.text
    with bay.writing(actor_of(bay, "tech")) as desk:
        release.settle_release(desk, 1, f"release-relearn-{note}-1", "done")
    assert on_file(bay)[0] == ()


def test_a_program_starts_lists_and_ends_clocks_and_says_what_is_next(
    bay: RunningShop, signed_in: SignIn
) -> None:
    client, tech = signed_in("tech").client, headers_of(bay, "tech")
    started = client.post(f"/api{PAGE}/clocks", json={"kind": "relearn_miles", "miles": 30}, headers=tech)
    assert (started.status_code, started.json()["said"]) == (201, "relearn drive until 79,830 mi")
    assert (
        client.post(f"/api{PAGE}/clocks", json={"kind": "soak", "minutes": 0}, headers=tech).status_code
        == 422
    )
    listed = client.get("/api/clocks", headers=tech).json()
    assert [one["id"] for one in listed] == [started.json()["id"]]
    assert client.get("/api/concerns", headers=tech).json()[0]["clocks"] == listed
    assert client.post(f"/api/clocks/{listed[0]['id']}/end", headers=tech).status_code == 204
    assert client.get("/api/clocks", headers=tech).json() == []
    said = client.put(f"/api{PAGE}/next", json={"what": "road test", "who": "tech"}, headers=tech).json()
    assert (said["what"], said["who"], said["by"]) == ("road test", "tech", "tech")
    assert client.get(f"/api{PAGE}", headers=tech).json()["next_up"] == said
