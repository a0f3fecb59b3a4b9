"""The review's table, curve and pictures."""

from __future__ import annotations

from datetime import timedelta
from xml.etree import ElementTree as ET

import pytest
from sqlalchemy import text

from kb.desk.calls import what_was_heard
from kb.desk.context import RunningShop
from kb.nouns.concerns import FollowUpDraft, FollowUpResult
from tests.factories import actor_of, an_update
from tests.kb.desk.imports.importing import history, take
from tests.web.browsing import Page, Visitor
from tests.web.conftest import SignIn


def table_rows(page: Page) -> list[list[str]]:
    body = page.html.split("<tbody>")[1].split("</tbody>")[0]
    rows = ET.fromstring(f"<t>{body}</t>")  # noqa: S314  # our own page
    return [["".join(cell.itertext()).strip() for cell in row] for row in rows.findall("tr")]


def test_the_curve_falls_where_vehicles_came_back_and_nowhere_else(
    reflashed: RunningShop, signed_in: SignIn
) -> None:
    """By hand (Kaplan & Meier 1958): of three, one is known to day 0 only; of the other two one fails on
    day 40, so the curve falls from 1 to 1/2 there and stays.
    """
    rows = table_rows(signed_in("owner").see("/review/updates/1"))
    assert [row[:4] for row in rows] == [
        ["0", "3", "0", "100%"],
        ["40", "2", "1", "50%"],
        ["90", "1", "0", "50%"],
    ]


def test_the_curve_is_drawn_anew_when_something_was_heard(reflashed: RunningShop, signed_in: SignIn) -> None:
    owner = signed_in("owner")
    first = curve_in(owner.see("/review/updates/1"))
    assert curve_in(owner.see("/review/updates/1")) == first
    with reflashed.writing(actor_of(reflashed, "tech")) as desk:
        what_was_heard.record_follow_up(desk, 4, FollowUpDraft(FollowUpResult.CAME_BACK, desk.today))
    assert curve_in(owner.see("/review/updates/1")) != first


def curve_in(page: Page) -> str:
    [line] = [one["d"] for one in page.all("path") if one.get("class") == "curve-line"]
    return line


def test_the_review_puts_the_surest_first_and_a_technician_is_told_whose_it_is(
    reflashed: RunningShop, signed_in: SignIn
) -> None:
    page = signed_in("owner").see("/review")
    assert "Cannot tell yet." in page.text
    assert "NV-24-101" in page.text
    refused = Visitor(reflashed).sign_in("tech").see("/review", expect=403)
    assert "for the lead and the owner" in refused.text


def test_days_one_tap_away_keep_the_choice_and_cost_stands_first(
    reflashed: RunningShop, signed_in: SignIn
) -> None:
    """Of three reflashes one came back; no cost is on file. Today is 120 days after Oct 31, 2026."""
    page = signed_in("owner").see("/review?make=Norvane&from=2026-05-01&to=2026-09-01")
    for end in ("from=2027-02-01&make=Norvane", "from=2027-01-01&make=Norvane", "make=Norvane"):
        assert f"/review?{end}" in page.links
    assert "of the reflashes of these days, whenever they came ($0 for 0 that came in these days" in page.text
    page = signed_in("owner").see("/review")
    assert "What it cost: $0 for 1 comeback or other cause, and $0 in the visits of 1 reflash" in page.text


def test_a_wrong_filter_is_said_and_kept(reflashed: RunningShop, signed_in: SignIn) -> None:
    page = signed_in("owner").see("/review?from=2026-13-40&make=Norvane", expect=422)
    kept = {found["name"]: found["value"] for found in page.all("input") if found.get("name")}
    assert kept["from"] == "2026-13-40"
    assert "<option selected>Norvane</option>" in page.html


def test_a_make_that_was_never_programmed_is_kept_in_the_choice_and_said_to_have_none(
    reflashed: RunningShop, signed_in: SignIn
) -> None:
    page = signed_in("owner").see("/review?make=Quellen")
    assert "<option selected>Quellen</option>" in page.html
    assert "No reflash fits this choice." in page.text
    assert "<option selected>Norvane</option>" in signed_in("owner").see("/review?make=norvane").html


def test_an_alarm_is_answered_on_a_page_that_names_its_update_and_can_be_read_again(
    reflashed: RunningShop, signed_in: SignIn
) -> None:
    owner, number = signed_in("owner"), an_update().number
    refused = owner.send("/review/alarms/1", "/review/alarms/1", {"remark": " "}, expect=422)
    for page in (refused, owner.see("/review/alarms/1")):
        assert f"Answer the alarm of {number}" in page.text
    said = owner.send("/review/alarms/1", "/review/alarms/1", {"remark": "checks first"})
    assert "watched anew" in said.text
    assert "checks first" in said.text
    with reflashed.reading(actor_of(reflashed, "owner")) as desk:
        yesterday = desk.today - timedelta(days=1)
    assert "checks first" not in owner.see(f"/review?as_of={yesterday}").text
    owner.see("/review/alarms/99999", expect=404)


@pytest.mark.parametrize("table", ["curve", "vehicles"])
def test_a_table_of_an_update_that_was_never_reflashed_is_not_found(
    reflashed: RunningShop, signed_in: SignIn, table: str
) -> None:
    owner = signed_in("owner")
    owner.see(f"/review/tables/{table}.csv?note=1")
    owner.see(f"/review/tables/{table}.csv?note=99999", expect=404)


def test_a_day_outside_the_years_is_told_from_one_badly_written(
    reflashed: RunningShop, signed_in: SignIn
) -> None:
    owner = signed_in("owner")
    assert "in the years 1886 to" in owner.see("/review?as_of=9999-12-31", expect=422).text
    assert "reads like" in owner.see("/review?as_of=31.12.2026", expect=422).text


def test_figures_of_a_half_taken_import_say_so(reflashed: RunningShop, signed_in: SignIn) -> None:
    owner = signed_in("owner")
    take(reflashed, "history", history({"ro_number": "7", "vin": "", "update": "A-1"}))
    assert "taken in part only" not in owner.see("/review").text
    with reflashed.records.writing() as session:
        session.execute(text("UPDATE import_job SET state = 'stopped'"))
    assert "file.csv is taken in part only" in " ".join(owner.see("/review").text.split())


def test_a_lesson_leads_to_the_cures_before_and_since_it_and_an_update_to_what_it_cured(
    reflashed: RunningShop, signed_in: SignIn
) -> None:
    owner = signed_in("owner")
    assert "/review/updates/1" in owner.see("/notes/1").links
    [link] = [one for one in owner.see("/notes/2").links if one.startswith("/review/compare?day=")]
    owner.see(link)
    tech = signed_in("tech")
    assert not [one for path in ("/notes/1", "/notes/2") for one in tech.see(path).links if "/review/" in one]
