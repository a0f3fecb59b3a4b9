"""Duplicates through the pages, and addresses that lead nowhere or not for everybody."""

from __future__ import annotations

import pytest

from kb.desk.context import RunningShop
from tests.factories import an_update
from tests.web.browsing import Page
from tests.web.conftest import SignIn


def test_a_duplicate_is_found_by_words_confirmed_with_its_title_and_taken_back(
    bay: RunningShop, signed_in: SignIn
) -> None:
    lead = signed_in("lead")
    title = an_update().title
    found = lead.see(f"/notes/2/merge?like={title.split()[0]}")
    assert "/notes/2/merge?keep=1" in found.links
    assert "/notes/2/merge?keep=2" not in found.links
    assert title in lead.see("/notes/2/merge?keep=1").text
    lead.send("/notes/2/merge?keep=1", "/notes/2/merge")
    merged = lead.see("/notes/2")
    assert "Merged into" in merged.text
    assert "/notes/1" in merged.links
    assert "/notes/2/publish" not in [form.action for form in merged.forms]
    lead.send("/notes/2", "/notes/2/unmerge")
    assert "Merged into" not in lead.see("/notes/2").text


@pytest.mark.parametrize("path", ["/notes/new/lesson", "/notes/1/edit", "/imports", "/notes/1/merge"])
def test_what_a_technician_cannot_save_is_not_shown_either(
    bay: RunningShop, signed_in: SignIn, path: str
) -> None:
    signed_in("tech").see(path, expect=403)


def test_an_id_that_no_database_holds_leads_nowhere(bay: RunningShop, signed_in: SignIn) -> None:
    lead = signed_in("lead")
    for path in ("/notes/{}", "/concerns/{}", "/imports/{}", "/shop/checks/{}", "/notes/{}/revisions"):
        lead.see(path.format("999999999999999999999"), expect=404)
    lead.see("/notes?page=999999999999999999999")
    lead.see("/notes/1?for_concern=999999999999999999999", expect=404)


def test_the_same_lesson_sent_twice_is_one_and_another_text_is_asked_about(
    bay: RunningShop, signed_in: SignIn
) -> None:
    lead = signed_in("lead")
    fields = lead.see("/notes/new/lesson").form("/notes/new/lesson").fields | {"title": ["Check the strap"]}
    answers = [lead.client.post("/notes/new/lesson", data=fields, follow_redirects=False) for _ in range(2)]
    assert [one.status_code for one in answers] == [303, 303]
    assert len({one.headers["location"] for one in answers}) == 1
    other = fields | {"title": ["Check the other strap"]}
    asked = lead.client.post("/notes/new/lesson", data=other, follow_redirects=False)
    assert asked.status_code == 409
    assert "This was saved already, before it was changed." in asked.text
    shown = Page(asked.text).form("/notes/new/lesson").fields
    assert shown["title"] == ["Check the other strap"]
    third = lead.client.post("/notes/new/lesson", data=shown, follow_redirects=False)
    assert third.headers["location"] != answers[0].headers["location"]
