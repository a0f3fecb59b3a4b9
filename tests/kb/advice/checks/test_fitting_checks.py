"""Points by hand for a few complaints; each order can be followed with the table of the rule."""

from __future__ import annotations

import pytest

from kb.advice.checks.fitting_checks import (
    CheckOffered,
    ToldOf,
    fitting,
    looked_for,
    spoken_of_by,
    systems_of,
)


def a_check(key: str, system: str, text: str, minutes: float, wait: float = 0.0) -> CheckOffered:
    return CheckOffered(key, system, text, frozenset(text.casefold().split()), minutes, wait)


CHECKS = (
    a_check("bulletin", "all", "drive under bulletin conditions", 2),
    a_check("ask", "all", "what happened before", 4),
    a_check("trim", "engine", "read fuel trim", 6),
    a_check("smoke", "engine", "smoke intake leak", 12),
    a_check("soak", "engine", "compare coolant sensors", 10, wait=600),
    a_check("fluid", "transmission", "transmission fluid", 15),
    a_check("of a note", "note", "fuel trim leak smoke", 1),
)


def told(words: str = "", code_words: str = "", systems: str = "", code_systems: str = "") -> ToldOf:
    return ToldOf(*(frozenset(one.split()) for one in (words, code_words, systems, code_systems)))


@pytest.mark.parametrize(
    ("said", "best"),
    [
        (told(), ["ask"]),  # nothing is known: what is for any concern
        (told(systems="engine"), ["trim", "smoke", "ask"]),  # 2-.2, 2-.4, -.13; the soak 2-2.33
        (told("leak", systems="engine"), ["smoke", "trim", "ask"]),  # 2+1-.4, 2-.2
        (told(code_words="fuel trim leak smoke", code_systems="engine"), ["trim", "smoke", "soak"]),
        (told(code_words="fuel", code_systems="engine", systems="transmission"), ["trim", "smoke", "fluid"]),
        (told("fluid", systems="brakes"), ["ask"]),  # a word alone is no reason for another system's check
    ],
)
def test_the_best_three_by_system_codes_words_and_time(said: ToldOf, best: list[str]) -> None:
    assert list(fitting(CHECKS, said)) == best


@pytest.mark.parametrize(
    ("code", "system"),
    [
        ("P0171", "engine"),
        ("p0302", "engine"),
        ("P0741", "transmission"),
        ("P2714", "transmission"),
        ("P0A80", "hybrid"),
        ("U0100-87", "network"),
        ("P0562", "network"),
        ("B1A00", "body"),
        ("P2097", "engine"),
        ("C0040", ""),
    ],
)
def test_a_code_speaks_of_the_system_whose_range_it_is_in(code: str, system: str) -> None:
    # from memory of SAE J2012: P07 to P09 and P27 transmission, P0A hybrid, U network, B body, C chassis
    assert spoken_of_by(code)[0] == system


def test_systems_without_checks_are_none() -> None:
    assert systems_of(["brakes", "steering", ""]) == frozenset()
    assert systems_of(["fuel", "driveline", "display"]) == {"engine", "transmission", "body"}


def test_a_check_is_found_by_the_beginnings_of_its_words() -> None:
    assert looked_for(CHECKS, "Leak smo") == ("smoke", "of a note")
    assert looked_for(CHECKS, "tran flu") == ("fluid",)
    assert looked_for(CHECKS, "x zz") == ()
