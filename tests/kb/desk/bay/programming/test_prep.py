"""Nobody starts past an open stop or an open line, and values that cannot be are not written down."""

from __future__ import annotations

import pytest

from kb.desk.bay.advice import advice
from kb.desk.bay.concern import closing, concerns, facts
from kb.desk.bay.programming import prep, starting
from kb.desk.bay.programming.prep_views import PrepItem
from kb.desk.context import Desk, RunningShop
from kb.desk.notes import notes
from kb.desk.shop import equipment, requirements
from kb.desk.shop.equipment import EquipmentDraft, EquipmentKind
from kb.desk.shop.requirements import RequirementDraft
from kb.errors import BadInput, NotAllowed
from kb.nouns.concerns import Ending
from tests.factories import a_concern, actor_of, an_update


def ready_but_for(desk: Desk, concern: int) -> None:
    """Every line settled: measured where there is a unit, passed where it blocks, ticked otherwise."""
    for item in prep.prep_list(desk, concern).open_lines:
        if item.line.blocks:
            prep.pass_over(desk, concern, item.line.key, "lent by the shop next door")
        else:
            prep.tick(desk, concern, item.line.key, "13.5" if item.line.unit else "")


def test_an_open_battery_fault_stops_the_start_until_somebody_overrides_it(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        ready_but_for(desk, concern)
        facts.put_gate(desk, concern, "battery", "fault")
        with pytest.raises(BadInput, match="Stop: battery"):
            starting.start(desk, concern, confirmed=True)
        assert not prep.prep_list(desk, concern).ready
        advice.lift_stop(desk, concern, "battery", "new battery goes in after this")
        starting.start(desk, concern)
        assert "override by Technician, new battery" in prep.prep_list(desk, concern).overrides[0]


def test_a_blocking_line_is_passed_with_a_reason_and_plain_ones_are_confirmed_by_name(
    shop: RunningShop,
) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        with pytest.raises(BadInput, match="No pass-thru device"):
            starting.start(desk, concern, confirmed=True)
        for item in prep.prep_list(desk, concern).blocking:
            prep.pass_over(desk, concern, item.line.key, "lent by the shop next door")
        with pytest.raises(BadInput, match="confirm by name"):
            starting.start(desk, concern)
        starting.start(desk, concern, confirmed=True)
        listed = prep.prep_list(desk, concern)
    kept = {item.line.key: (item.by, item.passed_over) for _place, items in listed.places for item in items}
    assert listed.ready
    assert kept["wall_power"] == ("tech", "started with this line open")


def started(desk: Desk) -> int:
    """A concern whose battery turned out to be bad after programming was started."""
    concern = concerns.open_concern(desk, a_concern()).id
    ready_but_for(desk, concern)
    starting.start(desk, concern)
    facts.put_gate(desk, concern, "battery", "fault")
    return concern


def test_a_start_of_one_update_opens_no_way_for_another(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        other = notes.write_note(desk, an_update()).id
        concern = started(desk)
        starting.start(desk, concern)  # sent again: it is going on
        with pytest.raises(BadInput, match="Stop: battery"):
            starting.start(desk, concern, other, confirmed=True)


def test_what_was_closed_and_opened_again_is_looked_at_before_it_is_started(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern = started(desk)
        closing.close_concern(desk, concern, Ending.SENT_TO_DEALER)
        closing.reopen_concern(desk, concern)
        with pytest.raises(BadInput, match="Stop: battery"):
            starting.start(desk, concern, confirmed=True)


def test_a_charger_is_never_offered_for_programming(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        equipment.add_equipment(desk, EquipmentDraft(EquipmentKind.CHARGER, "Bay 4"))
        unit = EquipmentDraft(EquipmentKind.BATTERY_SUPPORT_UNIT, "Bay 5", "40 A. Charger only, no supply")
        equipment.add_equipment(desk, unit)
        assert "support_unit_here" in {item.line.key for item in prep.prep_list(desk, concern).blocking}
        equipment.add_equipment(desk, EquipmentDraft(EquipmentKind.BATTERY_SUPPORT_UNIT, "Bay 2", "100 A"))
        lines = [item.line.text for _place, items in prep.prep_list(desk, concern).places for item in items]
    assert "Support unit: Bay 2" in lines


def test_a_voltage_outside_the_printed_window_is_only_passed_over_with_a_reason(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        draft = a_concern()
        wanted = RequirementDraft(draft.vehicle.make, "battery", "Support voltage 13.2 to 13.8", unit="V")
        requirements.add_requirement(desk, wanted)
        concern = concerns.open_concern(desk, draft).id
        with pytest.raises(BadInput, match=r"12\.6 V is outside 13\.2 to 13\.8"):
            prep.tick(desk, concern, "support_voltage", "12,6")
        prep.pass_over(desk, concern, "support_voltage", "procedure allows 12.5 here", measured="12,6")
        found = {item.line.key: item for item in prep.prep_list(desk, concern).items}
        item = found["support_voltage"]
    assert "make-1" not in found, "the line prints the window and nothing else"
    assert (item.measured, item.by) == ("12.6", "lead")
    assert item.passed_over == "procedure allows 12.5 here"


def test_a_lead_lets_a_window_past_the_possible_count_with_its_source(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        wanted = RequirementDraft(a_concern().vehicle.make, "battery", "Support voltage 11.8 to 12.6 V")
        requirements.add_requirement(desk, wanted)
        concern = concerns.open_concern(desk, a_concern()).id
        with pytest.raises(BadInput, match=r"11\.9 V cannot be right"):
            prep.tick(desk, concern, "support_voltage", "11.9")
        with pytest.raises(BadInput, match="where the manufacturer prints it"):
            prep.confirm_window(desk, concern, "support_voltage", " ")
    with shop.writing(actor_of(shop, "tech")) as desk, pytest.raises(NotAllowed):
        prep.confirm_window(desk, concern, "support_voltage", "page 4")
    with shop.writing(actor_of(shop, "lead")) as desk:
        prep.confirm_window(desk, concern, "support_voltage", "programming manual, page 4")
        prep.tick(desk, concern, "support_voltage", "11.9")
        with pytest.raises(BadInput, match=r"outside 11\.8 to 12\.6"):
            prep.tick(desk, concern, "support_voltage", "13.5")
        with pytest.raises(BadInput, match="No window past"):
            prep.confirm_window(desk, concern, "support_voltage", "page 5")


def test_a_tune_is_overwritten_on_the_customers_written_word_only(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        facts.put_gate(desk, concern, "stock_calibration", "fault")
        advice.lift_stop(desk, concern, "aftermarket_calibration", "customer is told")
        for refused in (lambda: prep.tick(desk, concern, "tune_written_word"), lambda: give_a_reason(desk)):
            with pytest.raises(BadInput, match="who signed"):
                refused()
        assert "tune_written_word" in {item.line.key for item in prep.prep_list(desk, concern).blocking}
        prep.tick(desk, concern, "tune_written_word", "Mr. Tovar signed RO 2087, scan on file")
        (word,) = [i for i in prep.prep_list(desk, concern).items if i.line.key == "tune_written_word"]
    assert (word.settled, word.measured) == (True, "Mr. Tovar signed RO 2087, scan on file")


def give_a_reason(desk: Desk) -> None:
    prep.pass_over(desk, 1, "tune_written_word", "he said so on the phone")


def test_a_24_volt_vehicle_is_measured_against_its_own_limits(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        with pytest.raises(BadInput, match="Say first if this is a 24 V vehicle"):
            prep.tick(desk, concern, "support_voltage", "27.2")
        prep.tick(desk, concern, prep.SYSTEM_24V)
        prep.tick(desk, concern, "support_voltage", "27.2")
        with pytest.raises(BadInput, match=r"24\.8 to 31"):
            prep.tick(desk, concern, "support_voltage", "13.5")
        prep.untick(desk, concern, prep.SYSTEM_24V)
        item = next(i for i in prep.prep_list(desk, concern).items if i.line.key == "support_voltage")
    assert not item.settled, "27.2 V cannot be on 12 V"


def test_the_computer_is_held_against_what_the_make_asks_for(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern = concerns.open_concern(desk, a_concern()).id

        def line() -> PrepItem:
            return next(i for i in prep.prep_list(desk, concern).items if i.line.key == "operating_system")

        assert "not entered" in line().line.text
        asked = RequirementDraft(
            a_concern().vehicle.make, "computer", "Release as printed", operating_system="Desk 11 or newer"
        )
        requirements.add_requirement(desk, asked)
        equipment.add_equipment(desk, EquipmentDraft(EquipmentKind.COMPUTER, "Laptop 1", "Desk 10"))
        assert line().line.blocks
        equipment.add_equipment(desk, EquipmentDraft(EquipmentKind.COMPUTER, "Laptop 2", "Desk 12"))
    with shop.reading(actor_of(shop, "tech")) as desk:
        assert "Laptop 2 (not Laptop 1)" in line().line.text


def test_a_support_unit_that_is_not_marked_clean_is_measured_for_ripple(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        equipment.add_equipment(desk, EquipmentDraft(EquipmentKind.BATTERY_SUPPORT_UNIT, "Bay 2", "100 A"))
        with pytest.raises(BadInput, match="stop"):
            prep.tick(desk, concern, "ripple", "620")
        prep.tick(desk, concern, "ripple", "140")
        item = next(i for i in prep.prep_list(desk, concern).items if i.line.key == "ripple")
        assert "find out why" in item.standing.says
        clean = EquipmentDraft(EquipmentKind.BATTERY_SUPPORT_UNIT, "Cart", "70 A, clean supply")
        equipment.add_equipment(desk, clean)
        assert "ripple" not in {i.line.key for i in prep.prep_list(desk, concern).items}
