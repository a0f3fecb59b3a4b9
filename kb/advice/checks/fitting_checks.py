"""Which checks fit a concern that no update matches: by what its words and codes speak of, and cheapness.

There is no bulletin to hold it against, so a check that asks about "the bulletin" fits none, nor does one of
a system that neither words nor codes speak of. What counts, the points being a guess, no source:

| the check                                    | points |
|----------------------------------------------|--------|
| has a word of what the codes speak of        | 2 each |
| has a word of the complaint                  | 1 each |
| is for a system that codes speak of          | 3      |
| is for a system that words speak of          | 2      |
| takes 30 minutes, a tenth of waiting counted | -1     |
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from kb.nouns.starting_checks import System

MOST = 3
_CODE_WORD, _WORD, _CODE_SYSTEM, _SYSTEM, _MINUTES_A_POINT, _WAITING = 2.0, 1.0, 3.0, 2.0, 30.0, 0.1

_SYSTEMS = {
    System.ENGINE: ("engine", "fuel", "exhaust"),
    System.TRANSMISSION: ("transmission", "driveline"),
    System.BODY: ("body", "electrical", "display", "lighting", "access", "climate"),
    System.NETWORK: ("network",),
    System.HYBRID: ("hybrid",),
}
"""Systems of shop talk by the one that a check is for; brakes, steering and the like have no checks."""

_CODES = (
    (r"P017[1-5]|P219[0-9]|P008[78]", System.ENGINE, "fuel trim, intake smoke leak, purge valve"),
    (r"P03[0-3][0-9]", System.ENGINE, "misfire coil plug, compression uneven"),
    (r"P04[4-5][0-9]|P049[0-9]", System.ENGINE, "purge valve flow"),
    (r"P00[0-2][0-9]", System.ENGINE, "oil level grade"),
    (r"P01[1-2][0-9]", System.ENGINE, "coolant sensors"),
    (r"P0[7-9][0-9A-F]{2}|P27[0-9A-F]{2}", System.TRANSMISSION, "transmission fluid, converter slip, shift"),
    (r"P0[A-F][0-9A-F]{2}|P1A[0-9A-F]{2}|P3[0-3][0-9A-F]{2}", System.HYBRID, "hybrid battery"),
    (r"P056[0-9]|U300[36]|B131[78]", System.NETWORK, "voltage, grounds"),
    (r"U[0-9A-F]{4}", System.NETWORK, "lost communication, bus resistance"),
    (r"B[0-9A-F]{4}", System.BODY, ""),
    (r"P[012][0-9A-F]{3}", System.ENGINE, ""),
)
"""What a trouble code speaks of, the first that fits. Ranges from memory of SAE J2012; the things a guess."""


@dataclass(frozen=True, slots=True)
class CheckOffered:
    """A check as it is held against a concern: its `words` as stems, of `text`, its name and question."""

    key: str
    system: str
    text: str
    words: frozenset[str]
    minutes: float
    wait_minutes: float

    @property
    def asks_of_a_bulletin(self) -> bool:
        return "bulletin" in self.text.casefold()


@dataclass(frozen=True, slots=True)
class ToldOf:
    """What a concern speaks of: words as stems, and the systems of a check, by its text and by its codes."""

    words: frozenset[str]
    code_words: frozenset[str]
    systems: frozenset[str]
    code_systems: frozenset[str]


def spoken_of_by(code: str) -> tuple[str, str]:
    """The system of a check, and the words, that a trouble code speaks of; empty texts for one not known."""
    for pattern, system, words in _CODES:
        if re.match(pattern, code.upper()):
            return system.value, words
    return "", ""


def systems_of(lexicon_systems: Iterable[str]) -> frozenset[str]:
    """The systems that checks are for, of those that shop talk knows."""
    told = set(lexicon_systems)
    return frozenset(one.value for one, members in _SYSTEMS.items() if told.intersection(members))


def fitting(checks: Sequence[CheckOffered], told: ToldOf, most: int = MOST) -> tuple[str, ...]:
    """Keys of the checks that fit best, best first; of equal ones the quicker, then in the order given."""
    scored = [
        (-_points(one, told), one.minutes + _WAITING * one.wait_minutes, at, one.key)
        for at, one in enumerate(checks)
        if _may_fit(one, told)
    ]
    return tuple(key for *_order, key in sorted(scored)[:most])


def _may_fit(check: CheckOffered, told: ToldOf) -> bool:
    if check.asks_of_a_bulletin or check.system == System.NOTE:
        return False
    return check.system == System.ALL or check.system in told.systems | told.code_systems


def _points(check: CheckOffered, told: ToldOf) -> float:
    by_system = _CODE_SYSTEM if check.system in told.code_systems else _SYSTEM
    return (
        _CODE_WORD * len(check.words & told.code_words)
        + _WORD * len(check.words & told.words)
        + by_system * (check.system != System.ALL)
        - (check.minutes + _WAITING * check.wait_minutes) / _MINUTES_A_POINT
    )


def looked_for(checks: Sequence[CheckOffered], typed: str) -> tuple[str, ...]:
    """Keys of the checks with words that begin as those typed do; those with the most of them first."""
    starts = [one for one in re.findall(r"[a-z0-9]+", typed.casefold()) if len(one) > 1]
    scored = []
    for at, check in enumerate(checks):
        words = re.findall(r"[a-z0-9]+", check.text.casefold())
        begun = sum(any(word.startswith(one) for word in words) for one in starts)
        if begun:
            scored.append((-begun, at, check.key))
    return tuple(key for *_order, key in sorted(scored))
