"""Recalls joined by what their own texts say.

Real sentences: US National Highway Traffic Safety Administration (NHTSA), Office of Defects Investigation,
recall communications 2020-2024, US government records; shortened, figures and makes as printed.
"""

from __future__ import annotations

import pytest

from kb.nouns.vehicles import CoverageLine
from kb.words.one_defect import defect_keys

FUEL_LINE = (
    "What is the problem? The fuel feed line in the subject vehicles could develop a small crack over time. "
    "A damaged fuel line could allow fuel to leak, increasing the risk of an engine compartment fire."
)
PRIOR = (
    "The subject vehicles may not have received a replacement fuel hose under prior Hyundai Recall 189 "
    "(NHTSA Recall 20V-121)."
)
SC231 = "This document is the Notice to Dealer Parts and Service Managers for SC231 Safety Recall."
SUPERSEDES = (
    "This document is the Owner Notification Letter for SC241. This Notice also advises the customer that "
    "this campaign supersedes the previously launched 22V127 recall."
)
CLOSED = "PM985 is being closed and all vehicles are being moved to Campaign ID R23B3."
MOVED = "Inner tie rod. Campaign ID PM985 moved to campaign ID R23B3; PM985 will be closed October 4, 2023."
WIPERS = (
    "Certain 2020-2021MY Palisade (LX2) vehicles are equipped with a windshield wiper motor that could "
    "function intermittently and/or become inoperable when impeded by the accumulation of snow and/or ice "
    "at the wiper arm, increasing the risk of a crash."
)
LATER_WIPERS = WIPERS.replace("2020-2021MY", "2020-2022MY")
STEERING = (
    "Certain 2020-2021MY Palisade (LX2) vehicles may have a steering gear bolt that was not tightened to the "
    "figure required, and the gear may come loose while driving, increasing the risk of a crash."
)
HYUNDAI, KIA, NISSAN = (
    (CoverageLine("HYUNDAI", "PALISADE"),),
    (CoverageLine("KIA", "SORENTO HYBRID"),),
    (CoverageLine("NISSAN", "SENTRA"),),
)


@pytest.mark.parametrize(
    ("older", "newer"),
    [
        pytest.param(
            ("20V121", [FUEL_LINE], HYUNDAI), ("22V312", [PRIOR, FUEL_LINE[20:]], HYUNDAI), id="not done"
        ),
        pytest.param(("22V127", [SC231], KIA), ("22V447", [SUPERSEDES], KIA), id="supersedes"),
        pytest.param(("21V461", [CLOSED], NISSAN), ("23V581", [MOVED], NISSAN), id="one campaign"),
        pytest.param(("22V627", [WIPERS], HYUNDAI), ("23V180", [LATER_WIPERS], HYUNDAI), id="repeats"),
        pytest.param(
            ("20V-177", ["20S15 owner letter. Mailed May 15, 2020"], KIA),
            ("23V775", ["Safety Recall 20S15 Supplement #1 Door Latch Inspection"], KIA),
            id="supplement",
        ),
        pytest.param(
            ("20E078", ["Display unit"], ()),
            ("21E035", ["This is the same as 20E078 with increased population."], ()),
            id="said to be the same",
        ),
        pytest.param(
            ("22E047", ["Steering gears"], ()),
            ("22E050", ["Following the equipment recall 22E047, certain gears may leak."], NISSAN),
            id="a supplier's part",
        ),
    ],
)
def test_recalls_that_say_so_are_of_one_defect(
    older: tuple[str, list[str], tuple[CoverageLine, ...]],
    newer: tuple[str, list[str], tuple[CoverageLine, ...]],
) -> None:
    assert defect_keys(*older) & defect_keys(*newer)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        pytest.param(("22V627", [WIPERS], HYUNDAI), ("23V181", [STEERING], HYUNDAI), id="other defects"),
        pytest.param(
            ("22V001", ["Recall SC231 letter"], KIA), ("22V002", ["Recall SC231 letter"], NISSAN), id="makers"
        ),
        pytest.param(
            ("22V003", ["Dealer letter, 49 CFR Part 577, mailed 2021"], KIA),
            ("22V004", ["Dealer letter, 49 CFR Part 577, mailed 2021"], KIA),
            id="law and dates",
        ),
        pytest.param(
            ("24V003", ["XC90 recall letter"], (CoverageLine("VOLVO", "XC90"),)),
            ("24V004", ["XC90 recall letter"], (CoverageLine("VOLVO", "XC90"),)),
            id="a model is no campaign",
        ),
        pytest.param(
            ("23V010", ["SC300 recall letter"] * 7 + ["SC301 recall letter"], KIA),
            ("23V011", ["SC301 recall letter"], KIA),
            id="one letter filed under the wrong number",
        ),
        pytest.param(
            ("23V443", ["Recall 23V443"], HYUNDAI), ("23V453", ["Recall 23V443 letter"], NISSAN), id="a slip"
        ),
        pytest.param(
            ("22V494", ["Please find the notice to dealers for 22V494; it may help those at risk."], KIA),
            ("22V495", ["Please find the notice to dealers for 22V495; it may help those at risk."], KIA),
            id="paperwork",
        ),
    ],
)
def test_recalls_that_only_look_alike_stay_apart(
    one: tuple[str, list[str], tuple[CoverageLine, ...]],
    other: tuple[str, list[str], tuple[CoverageLine, ...]],
) -> None:
    assert not defect_keys(*one) & defect_keys(*other)
