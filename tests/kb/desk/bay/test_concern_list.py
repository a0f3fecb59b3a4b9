"""Open concerns by whose they are, what they wait for and their module, held against reading each."""

from __future__ import annotations

from itertools import product

import pytest

from kb.desk.bay.concern import closing, concerns, facts, vehicles
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.handover import concern_list, waiting
from kb.desk.context import Desk, RunningShop
from kb.desk.notes import notes
from kb.errors import BadInput
from kb.nouns.bay.waiting import WaitingFor
from kb.nouns.concerns import Ending, ReportedCode
from kb.nouns.vehicles import CalibrationReading, CalibrationSource
from tests.factories import a_concern, a_vehicle, actor_of, an_update

pytestmark = pytest.mark.both_databases

WAITS = (None, WaitingFor.SOAK, WaitingFor.PART, None, WaitingFor.LEAD)
MODULES = ((), ("PCM",), ("ECM", "TCM"), ("TCM",), ())


def five_open_ones(shop: RunningShop) -> dict[int, tuple[str, WaitingFor | None, frozenset[str]]]:
    """By id: who opened it, what it waits for, its modules; a sixth is closed."""
    told = {}
    for n, (waits, modules) in enumerate(zip(WAITS, MODULES, strict=True)):
        who = ("tech", "lead")[n % 2]
        codes = (ReportedCode("U0100", "BCM"),) if n == 3 else ()
        car = a_vehicle(make=f"Make {n}")
        with shop.writing(actor_of(shop, who)) as desk:
            said = a_concern(ro_number=f"31{n}", complaint="rattles", vehicle=car, codes=codes)
            at = concerns.open_concern(desk, said).id
            for module in modules:
                read = CalibrationReading(module, f"NV{n}", CalibrationSource.READ)
                facts.put_calibration(desk, at, read)
            if waits:
                waiting.wait_for(desk, at, waits)
        called = {"ECM" if one in ("PCM", "ECM") else one for one in modules} | ({"BCM"} if codes else set())
        told[at] = (who, waits, frozenset(called))
    with shop.writing(actor_of(shop, "tech")) as desk:
        closed = concerns.open_concern(desk, a_concern(ro_number="399")).id
        closing.close_concern(desk, closed, Ending.NOT_RESOLVED)
    return told


def ids(desk: Desk, **asked: object) -> set[int]:
    return {one.id for one in concern_list.list_concerns(desk, **asked)}  # type: ignore[arg-type]


def test_every_way_to_narrow_gives_what_reading_each_one_gives(shop: RunningShop) -> None:
    told = five_open_ones(shop)
    waits = ("", "soak", "part", "customer_ok", "lead", "nothing")
    with shop.reading(actor_of(shop, "tech")) as desk:
        for mine, wait, module in product((False, True), waits, ("", "PCM", "TCM", "BCM")):
            slow = {
                at
                for at, (who, waits_for, modules) in told.items()
                if (not mine or who == "tech")
                and wait in ("", waits_for.value if waits_for else "nothing")
                and (not module or {"PCM": "ECM"}.get(module.upper(), module.upper()) in modules)
            }
            assert ids(desk, mine=mine, waiting_for=wait, module=module) == slow, (mine, wait, module)
        kinds = concern_list.open_by_kind(desk)
    assert (kinds.mine, kinds.modules) == (3, {"BCM": 1, "ECM": 2, "TCM": 2})
    assert kinds.waiting_for == {"soak": 1, "part": 1, "lead": 1, "nothing": 2}


def test_a_sign_that_is_typed_is_itself(shop: RunningShop) -> None:
    """What stands for any letter or any words in LIKE is looked for as it was typed."""
    with shop.writing(actor_of(shop, "tech")) as desk:
        at = [
            concerns.open_concern(desk, a_concern(ro_number=f"41{n}", complaint=said)).id
            for n, said in enumerate(("lean at 100% load", "lean at 100 mph", "reads C:\\a_b", "reads axb"))
        ]
    with shop.reading(actor_of(shop, "tech")) as desk:
        typed = ("100%", "A_B", "\\", "%", "LEAN AT 1", "r_ads")
        found = [ids(desk, text=one) for one in typed]
        assert found == [{at[0]}, {at[2]}, {at[2]}, {at[0]}, {at[0], at[1]}, set()]
        assert vehicles.find_vehicles(desk, "____") == vehicles.find_vehicles(desk, "%%%%") == ()


def test_mine_is_also_what_i_wrote_something_down_on(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        at = concerns.open_concern(desk, a_concern()).id
    with shop.writing(actor_of(shop, "tech")) as desk:
        assert ids(desk, mine=True) == set()
        facts.put_gate(desk, at, "battery", "fine")
    with shop.reading(actor_of(shop, "tech")) as desk:
        assert ids(desk, mine=True) == {at}


def test_a_module_that_nobody_read_yet_is_the_one_of_the_update_that_is_about_it(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
        at = concerns.open_concern(desk, a_concern()).id
        assert read_concern(desk, at).readings == ()
        assert ids(desk, module="PCM") == {at}
        with pytest.raises(BadInput, match="customer_ok"):
            ids(desk, waiting_for="rain")
