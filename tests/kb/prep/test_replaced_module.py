"""A replaced module has a list of its own: new, remanufactured and used are three cases."""

from __future__ import annotations

import pytest

from kb.errors import BadInput
from kb.nouns.bay.gates import Replacement
from kb.prep.release import vin_read
from kb.prep.replaced_module import lines_of_replaced, replacement_said

VIN = "1M8GDM9AXKP042788"  # published worked example, check digit X (check value from memory)


@pytest.mark.parametrize(
    ("value", "kind"),
    [
        ("new", Replacement.NEW),
        ("used, from a donor", Replacement.USED),
        ("Reman from the dealer", Replacement.REMANUFACTURED),
        ("junkyard ipc, like new", Replacement.USED),
        ("", None),
        ("renewed fuse", None),
    ],
)
def test_which_one_it_is_is_read_in_words(value: str, kind: Replacement | None) -> None:
    assert replacement_said(value) is kind


def keys(value: str, module: str) -> list[str]:
    return [one.key.removeprefix("replaced-") for one in lines_of_replaced(value, module)]


def test_the_old_module_is_read_first_and_each_kind_has_lines_of_its_own() -> None:
    assert keys("", "PCM") == ["kind"]
    assert keys("new", "PCM") == ["old-saved", "part-fits", "procedure", "comes-empty", "vin-written", "keys"]
    assert set(keys("used", "PCM")) - set(keys("new", "PCM")) == {"may-be-locked", "donor", "emissions"}
    assert set(keys("reman", "PCM")) - set(keys("new", "PCM")) == {"what-is-in-it"}


@pytest.mark.parametrize(("module", "asked"), [("IPC", True), ("BCM", True), ("", True), ("PCM", False)])
def test_the_odometer_law_stands_where_the_module_may_hold_it(module: str, asked: bool) -> None:
    law = [one.text for one in lines_of_replaced("used", module) if one.source == "the law"]
    assert bool(law) == asked
    assert all("49 USC 32704" in text for text in law)


def test_what_locks_a_used_one_and_who_pairs_keys_is_written_down_never_ticked() -> None:
    asked = {one.key: one.asks for one in lines_of_replaced("used", "IPC")}
    assert all(
        asked[f"replaced-{key}"] for key in ("old-saved", "may-be-locked", "donor", "keys", "odometer")
    )


def test_the_module_answers_with_this_vehicles_vin() -> None:
    assert vin_read({"vin": f" {VIN.lower()} ", "expected": VIN}) == {"vin": VIN}
    assert vin_read({"vin": VIN}) == {"vin": VIN}
    for wrong in ("", VIN[:-1], "11111111111111111"):
        with pytest.raises(BadInput, match="this vehicle's"):
            vin_read({"vin": wrong, "expected": VIN})
