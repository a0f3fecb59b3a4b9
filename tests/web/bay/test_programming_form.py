"""The form of a programming event: what it asks, what it folds, and what a refusal gives back."""

from __future__ import annotations

import ast
import re
from pathlib import Path

from kb.desk.bay.concern import concerns
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.programming import prep
from kb.desk.context import RunningShop
from kb.desk.shop import failure_sheets
from kb.nouns.bay.failure_sheets import FailureSheetDraft
from tests.factories import a_concern, a_vehicle, actor_of
from tests.web.browsing import Page
from tests.web.conftest import SignIn
from web import pages

VIN = "1M8GDM9AXKP042788"  # the published example of the check digit, 49 CFR 565.15
FORM = "/concerns/1/programming"
DONE = {
    "module_1": "PCM",
    "result_1": "completed",
    "update_1": "1",
    "before_1": "NV10A",
    "duplicated_before": "yes",
    "road_test": "gone",
    "why": ["customer insists"],
}


def folds(page: Page) -> dict[str, bool]:
    """Whether each fold is open, by its summary; further modules of the sitting are left out."""
    one_module = re.sub(r'<details class="card".*?(?=<section>)', "", page.html, flags=re.DOTALL)
    found = re.findall(r"<details([^>]*)>\s*<summary[^>]*>(.*?)</summary>", one_module, re.DOTALL)
    return {summary: "open" in attributes for attributes, summary in found}


def test_what_is_rarely_needed_is_folded_and_what_must_be_answered_is_not(
    bay: RunningShop, signed_in: SignIn
) -> None:
    page = signed_in("tech").see(FORM)
    assert not any(folds(page).values())
    in_sight = re.sub(r"<details.*?</details>", "", page.html, flags=re.DOTALL)
    for name in (
        "module_1",
        "result_1",
        "after_1",
        "after_source_1",
        "duplicated_before",
        "road_test",
        "minutes",
    ):
        assert f'name="{name}"' in in_sight, name
    for name in ("error_1", "who_was_called", "other_work", "cvn_1"):
        assert f'name="{name}"' not in in_sight, name
    failed = folds(signed_in("tech").see(f"{FORM}?result=stopped"))
    assert failed["Exact error text, if any"]


def test_nothing_is_preselected_and_what_was_passed_by_is_told_in_one_line_that_blocks_nothing(
    bay: RunningShop, signed_in: SignIn
) -> None:
    with bay.writing(actor_of(bay, "lead")) as desk:
        early = FailureSheetDraft("Norvane", latest_start="8:00 AM")
        failure_sheets.put_failure_sheet(desk, early)
    tech = signed_in("tech")
    page = tech.see(FORM)
    assert page.form(FORM).fields.get("result_1", []) == []
    assert "Before you write it down: Nothing of the prep list is ticked." in page.text
    assert "the latest start is 8:00 AM" in page.text
    without = {name: said for name, said in DONE.items() if name != "result_1"}
    assert "Say how it ended." in tech.send(FORM, FORM, without, expect=422).text
    with bay.writing(actor_of(bay, "tech")) as desk:
        prep.tick(desk, 1, "support_unit")
    assert "Nothing of the prep list" not in tech.see(FORM).text
    tech.send(FORM, FORM, DONE)
    assert "Before you write it down" not in tech.see(FORM).text


def test_another_ro_number_typed_over_is_refused_and_none_is_lost(
    bay: RunningShop, signed_in: SignIn
) -> None:
    tech, form = signed_in("tech"), "/concerns/1/edit"
    typed = {"ro_number": "2099-A", "complaint": "bucks, worse since Monday"}
    page = tech.send(form, form, typed, expect=422)
    assert "RO 2087-A keeps its number" in page.text
    assert page.form(form).fields["complaint"] == ["bucks, worse since Monday"]
    tech.send(form, form, typed | {"ro_number": "2087-a"})
    with bay.reading(actor_of(bay, "tech")) as desk:
        assert read_concern(desk, 1).complaint == "bucks, worse since Monday"


def test_a_refusal_opens_the_fold_of_a_wrong_field_and_keeps_what_stood_in_the_others(
    bay: RunningShop, signed_in: SignIn
) -> None:
    typed = DONE | {
        "support_unit_id": "99",
        "cvn_1": "A1B2",
        "error_1": "E-04",
        "other_work_words": "plugs",
        "remark": "two tries",
    }
    page = signed_in("tech").send(FORM, FORM, typed, expect=422)
    assert "no battery support unit" in page.text
    closed = [name for name, is_open in folds(page).items() if not is_open]
    assert (len(folds(page)), closed) == (6, ["With the camera, from a file or a pasted report", "Keys"])
    form = page.form(FORM).fields
    kept = ("cvn_1", "error_1", "other_work_words", "remark")
    assert [form[name] for name in kept] == [[typed[name]] for name in kept]


def test_an_id_unlike_the_bulletins_is_asked_about_beside_its_field(
    bay: RunningShop, signed_in: SignIn
) -> None:
    tech = signed_in("tech")
    typed = DONE | {"after_1": "NV10X", "after_source_1": "read"}
    page = tech.send(FORM, FORM, typed, expect=422)
    assert "NV-24-101 installs NV10B" in page.text
    assert 'id="wrong-after_confirmed_1"' in page.html
    tech.send(FORM, FORM, typed | {"after_confirmed_1": "yes"})
    assert "the ID after is NV10X" in tech.see("/concerns/1/release").text


def test_the_same_in_a_second_tab_is_shown_with_the_first_and_taken_when_done_twice(
    bay: RunningShop, signed_in: SignIn
) -> None:
    tech = signed_in("tech")
    tech.send(FORM, FORM, DONE)
    page = tech.send(FORM, FORM, DONE, expect=409)
    assert "on record already" in page.text
    assert "/concerns/1" in page.links
    assert "done for" not in page.text  # it is the same concern
    with bay.reading(actor_of(bay, "tech")) as desk:
        assert len(read_concern(desk, 1).reflashes) == 1
    tech.send(FORM, FORM, DONE | {"again": "done_twice"})
    with bay.reading(actor_of(bay, "tech")) as desk:
        assert len(read_concern(desk, 1).reflashes) == 2


def test_one_sitting_for_two_lines_is_counted_for_the_second_without_a_second_event(
    bay: RunningShop, signed_in: SignIn
) -> None:
    with bay.writing(actor_of(bay, "tech")) as desk:
        first, second = (
            concerns.open_concern(desk, a_concern(ro_number="70", line=line, vehicle=a_vehicle(vin=VIN))).id
            for line in "AB"
        )
    tech = signed_in("tech")
    form = f"/concerns/{second}/programming"
    tech.send(f"/concerns/{first}/programming", f"/concerns/{first}/programming", DONE)
    page = tech.send(form, form, DONE, expect=409)
    sitting = page.form(form).fields["sitting"]
    tech.send(form, form, DONE | {"again": "same_sitting", "sitting": sitting[0]})
    with bay.reading(actor_of(bay, "tech")) as desk:
        events = [read_concern(desk, one).reflashes[0].event_id for one in (first, second)]
    assert [str(one) for one in events] == sitting * 2


def test_a_refusal_has_the_status_that_the_interface_would_answer(
    bay: RunningShop, signed_in: SignIn
) -> None:
    """What is not there is 404 on the page too, and what cannot be as it stands 422 (RFC 9110, 15.5)."""
    tech, another = signed_in("tech"), {"again": "same_sitting", "sitting": "77"}
    assert "No programming event 77" in tech.send(FORM, FORM, DONE | another, expect=404).text
    assert "999" in tech.send(FORM, FORM, DONE | {"update_1": "999"}, expect=422).text


def test_no_page_names_a_status_of_its_own() -> None:
    named = [
        f"{file.name}: {node.arg}"
        for file in Path(pages.__file__).parent.rglob("*.py")
        for node in ast.walk(ast.parse(file.read_text("utf-8")))
        if isinstance(node, ast.keyword) and node.arg in {"status", "status_code"}
    ]
    assert named == []
