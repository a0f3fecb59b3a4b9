"""One page holds a form for each piece and one for a new one: what is refused stays in its form."""

from __future__ import annotations

from kb.desk.context import RunningShop
from kb.desk.shop import equipment
from kb.desk.shop.equipment import EquipmentDraft, EquipmentKind
from tests.factories import actor_of
from tests.web.browsing import Visitor

PAGE = "/shop/equipment"


def test_a_refused_change_of_one_piece_stays_in_its_form_and_makes_no_second_piece(
    sqlite_shop: RunningShop,
) -> None:
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        equipment.add_equipment(desk, EquipmentDraft(EquipmentKind.BATTERY_SUPPORT_UNIT, "Support unit 70 A"))
    lead = Visitor(sqlite_shop).sign_in("lead")
    typed = {"name": "Support unit 70 A, cart", "validated": "Tarn someday"}
    page = lead.send(PAGE, PAGE, typed, expect=422)
    of_piece, of_new = [form for form in page.forms if form.action == PAGE]
    for name, text in typed.items():
        assert of_piece.fields[name] == [text]
        assert of_new.fields[name] == [""]
    assert of_piece.fields["kind"] == [EquipmentKind.BATTERY_SUPPORT_UNIT.value]
    assert page.html.split("<details id")[1].partition(">")[0].endswith("open")


def test_what_a_refused_new_piece_is_stays_chosen(sqlite_shop: RunningShop) -> None:
    typed = {"kind": EquipmentKind.BATTERY_SUPPORT_UNIT.value, "name": "Cart", "validated": "Tarn someday"}
    page = Visitor(sqlite_shop).sign_in("lead").send(PAGE, PAGE, typed, expect=422)
    assert page.form(PAGE).fields["kind"] == [EquipmentKind.BATTERY_SUPPORT_UNIT.value]
