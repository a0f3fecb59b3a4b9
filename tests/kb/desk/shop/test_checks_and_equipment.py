from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from kb.desk.bay.advice import checks_on_file
from kb.desk.context import RunningShop
from kb.desk.notes import checks
from kb.desk.shop import equipment, requirements
from kb.desk.shop.equipment import EquipmentDraft, EquipmentKind
from kb.desk.shop.requirements import RequirementDraft
from kb.errors import BadInput, Conflict, NotAllowed, NotFound
from kb.nouns.checks import CheckDraft
from kb.nouns.people import Actor
from kb.nouns.starting_checks import STARTING_CHECKS

LEAD, TECH = Actor(0, "lead", "lead"), Actor(0, "tom", "tech")
DRAFT = CheckDraft(
    name="Listen for a vacuum hiss",
    question="Does it hiss at idle?",
    yes_word="HISSES",
    no_word="QUIET",
    yes_in_10_cured=1,
    yes_in_10_not=4,
    cost_minor=250,
)


def test_a_new_shop_has_the_starting_checks_once_however_often_it_is_opened(shop: RunningShop) -> None:
    RunningShop.open(shop.records.engine.url.render_as_string(hide_password=False)).close()
    with shop.reading(TECH) as desk:
        found = checks_on_file.list_checks(desk)
    assert [check.key for check in found] == [check.key for check in STARTING_CHECKS]
    guesses = [(check.content.yes_in_10_cured, check.content.yes_in_10_not) for check in found]
    assert guesses == [(check.yes_in_10_cured, check.yes_in_10_not) for check in STARTING_CHECKS]
    assert {check.content.source_line for check in found} == {"guess, common practice, no source"}


def test_a_check_keeps_its_key_through_changes_and_is_listed_last(shop: RunningShop) -> None:
    with shop.writing(LEAD) as desk:
        added = checks.add_check(desk, DRAFT)
        twin = checks.add_check(desk, DRAFT)
        renamed = checks.change_check(desk, added.id, 1, replace(DRAFT, name="Listen", minutes=3))
    with shop.reading(TECH) as desk:
        found = checks_on_file.list_checks(desk)
    assert [check.key for check in found[-2:]] == ["listen_for_a_vacuum_hiss", "listen_for_a_vacuum_hiss_2"]
    assert (renamed.version, renamed.key, twin.version) == (2, added.key, 1)
    definition = found[-2].definition("USD")
    assert (definition.minutes, definition.cost, definition.yes_if_not.author) == (3, 2.5, "lead")


def test_the_second_of_two_leads_gets_both_texts_of_a_check(shop: RunningShop) -> None:
    with shop.writing(LEAD) as desk:
        added = checks.add_check(desk, DRAFT)
        checks.change_check(desk, added.id, 1, replace(DRAFT, name="Mine"))
        with pytest.raises(Conflict) as stale:
            checks.change_check(desk, added.id, 1, replace(DRAFT, name="Yours"))
    details = stale.value.details
    assert (details["yours"]["name"], details["theirs"]["name"], details["version"]) == ("Yours", "Mine", 2)


def test_a_retired_check_is_no_longer_offered_and_still_known(shop: RunningShop) -> None:
    with shop.writing(LEAD) as desk:
        added = checks.add_check(desk, DRAFT)
        checks.retire_check(desk, added.id)
    with shop.reading(TECH) as desk:
        assert added.key not in {check.key for check in checks_on_file.list_checks(desk)}
        assert added.key in {check.key for check in checks_on_file.list_checks(desk, retired_too=True)}
        assert checks.read_check(desk, added.id).retired


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"name": " "}, "name"),
        ({"no_word": ""}, "no_word"),
        ({"yes_in_10_cured": 10.5}, "yes_in_10_cured"),
        ({"yes_in_10_not": -1}, "yes_in_10_not"),
        ({"weight": 0}, "weight"),
        ({"minutes": float("inf")}, "minutes"),
        ({"system": "brakes"}, "system"),
    ],
)
def test_a_check_that_cannot_be_is_refused_by_field(
    sqlite_shop: RunningShop, change: dict[str, object], field: str
) -> None:
    with sqlite_shop.writing(LEAD) as desk, pytest.raises(BadInput) as refused:
        checks.add_check(desk, replace(DRAFT, **change))  # type: ignore[arg-type]
    assert list(refused.value.fields) == [field]


def test_technicians_use_checks_and_equipment_and_do_not_set_them(sqlite_shop: RunningShop) -> None:
    with sqlite_shop.writing(TECH) as desk:
        with pytest.raises(NotAllowed):
            checks.add_check(desk, DRAFT)
        with pytest.raises(NotAllowed):
            equipment.add_equipment(desk, EquipmentDraft(EquipmentKind.COMPUTER, "Bench computer"))
    with sqlite_shop.writing(LEAD) as desk, pytest.raises(NotFound):
        checks.retire_check(desk, 999)


def test_a_device_remembers_on_which_day_each_make_listed_it(shop: RunningShop) -> None:
    looked_up = {"Norvane": date(2026, 10, 12)}
    draft = EquipmentDraft(EquipmentKind.PASS_THRU_DEVICE, "Device 1", validated=looked_up)
    with shop.writing(LEAD) as desk:
        made = equipment.add_equipment(desk, draft)
        with pytest.raises(Conflict):
            equipment.change_equipment(desk, made.id, 2, draft)
        equipment.change_equipment(desk, made.id, 1, replace(draft, details="firmware 4.2"))
    with shop.writing(LEAD) as desk:
        [device] = equipment.list_equipment(desk)
        assert device.content.validated == looked_up
        assert (device.version, device.content.details) == (2, "firmware 4.2")
        equipment.retire_equipment(desk, device.id)
        assert equipment.list_equipment(desk) == ()


def test_requirements_are_found_by_make_whatever_the_capitals(shop: RunningShop) -> None:
    with shop.writing(LEAD) as desk:
        made = requirements.add_requirement(desk, RequirementDraft("Norvane", "cabin", "Hood open"))
        requirements.add_requirement(desk, RequirementDraft("Keldar", "battery", "Support on", unit="V"))
        with pytest.raises(BadInput):
            requirements.add_requirement(desk, RequirementDraft("Norvane", "roof", "Hood open"))
        assert [one.content.text for one in requirements.list_requirements(desk, " NORVANE ")] == [
            "Hood open"
        ]
        requirements.retire_requirement(desk, made.id)
        assert [one.content.make for one in requirements.list_requirements(desk)] == ["Keldar"]
