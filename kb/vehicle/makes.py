"""Makes and models that are understood without being on file (makes.toml, models.toml), and what people call
them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from rapidfuzz import process
from rapidfuzz.distance import OSA

from kb.nouns.vehicles import Coverage, CoverageLine
from kb.nouns.word_files import word_file
from kb.vehicle.families import fold

SHORTEST = 5
"""Names of fewer letters are not guessed at; of eight letters and more, two slips are forgiven."""


@dataclass(frozen=True, slots=True)
class Makes:
    """By folded name the make as it is printed; those that speak for themselves; models that are words; the
    first words of makes; what some models are misspelled as; makes of parts of vehicles; trims of models.
    """

    printed: Mapping[str, str]
    sure: frozenset[str]
    own_models: frozenset[str]
    first_words: frozenset[str]
    slips: Mapping[str, str]
    suppliers: frozenset[str]
    trims: frozenset[str]

    def may_begin(self, word: str) -> bool:
        """Whether the name of a make may begin with this word."""
        return word in self.printed or word in self.first_words


def is_known(make: str) -> bool:
    """Whether everybody knows this make, on file or not."""
    return fold(make) in known_makes().printed


def is_supplier(make: str) -> bool:
    """Whether a make is one of parts, which no vehicle is called by."""
    return fold(make) in known_makes().suppliers


def usual_make(make: str) -> str:
    """The make by its usual name where this is another one: VIN tables say "VOLVO TRUCK" where recalls and
    bulletins say "VOLVO". Its spelling stays where it is the usual name.
    """
    usual = known_makes().printed.get(fold(make), make)
    return make if fold(usual) == fold(make) else usual


@lru_cache(maxsize=4_096)  # every line of coverage is compared by it, and few makes are on file
def folded_make(make: str) -> str:
    """The make for comparing: "VOLVO TRUCK", "volvo" and "Volvo" are one, and so are a make's other names."""
    return fold(usual_make(make))


def likely(name: str, among: list[str]) -> str:
    """Which of some folded names a folded name is a slip of the pen of, or empty."""
    if len(name) < SHORTEST:
        return ""
    slips = 2 if len(name) >= 2 * SHORTEST - 2 else 1
    found = process.extractOne(name, among, scorer=OSA.distance, score_cutoff=slips)
    return str(found[0]) if found and len(found[0]) >= SHORTEST and found[0][0] == name[0] else ""


@lru_cache(maxsize=1)
def known_makes() -> Makes:
    told = word_file("kb.vehicle", "makes.toml")
    names = {fold(make): make for make in (*told["sure"], *told["unsure"])} | told["called"]
    sure = {name for name, make in names.items() if make in told["sure"]} - set(told["doubtful"])
    first = frozenset(re.split(r"\W", make.lower())[0] for make in names.values())
    suppliers, trims = frozenset(map(fold, told["suppliers"])), frozenset(told["trims"])
    own = frozenset(map(fold, told["own"]))
    return Makes(names, frozenset(sure), own, first, told["slips"], suppliers, trims)


@lru_cache(maxsize=1)
def known_models() -> Coverage:
    """A line for each model that everybody knows."""
    told = word_file("kb.vehicle", "models.toml")
    return tuple(CoverageLine(make, model) for make, names in told.items() for model in names.split(", "))
