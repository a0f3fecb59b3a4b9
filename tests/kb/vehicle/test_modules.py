"""The one table of module names: texts, tools' lists and people mean the same module by it."""

from __future__ import annotations

import pytest

from kb.vehicle.modules import module_called, modules_in, same_module


@pytest.mark.parametrize(
    ("name", "module"),
    [
        ("PCM", "ECM"),
        ("Engine Control Module", "ECM"),
        ("mcu", "inverter"),
        ("Motor Control Unit", "inverter"),
        ("IPC", "cluster"),
        ("DIM", "cluster"),
        ("B.C.M.", ""),
        ("Body", "BCM"),
        ("HCM", ""),
    ],
)
def test_a_listed_name_means_one_module(name: str, module: str) -> None:
    assert module_called(name) == module


def test_short_names_of_lists_are_no_modules_of_a_text() -> None:
    assert [module for _, module in modules_in("The dim lamp and the ICM of the MCU")] == ["inverter"]


def test_two_names_of_one_module_are_the_same_and_unknown_ones_only_letter_for_letter() -> None:
    assert same_module("PCM", "ECM")
    assert same_module("hcm ", "HCM")
    assert not same_module("HCM", "QCM")
    assert not same_module("", "ECM")
