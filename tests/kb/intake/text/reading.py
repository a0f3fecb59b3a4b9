"""Texts marked by hand, what is read of them, and when both say the same."""

from __future__ import annotations

import json
import re
from collections import Counter
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from kb.intake.text.reading import read_text
from kb.nouns.vehicles import CoverageLine
from kb.search.vehicle.names_on_file import NamesOnFile, names_in_papers
from kb.vehicle.families import families_on_file
from kb.vehicle.modules import same_module
from kb.words.concepts import trade_concepts
from kb.words.lexicon import make_lexicon
from tests.kb.intake.reading import FIXTURES

ON_FILE = {
    "Tarn": ("Vell", "Orren", "Passo", "Gaila", "Lira"),
    "Norvane": ("Alto", "Brix", "Pavo", "Sella"),
    "Oreval": ("Kestor", "Lumo", "Ampere"),
}
_SENTENCES = {"title", "symptom", "condition", "precaution", "relearn", "speaks_against"}
_PARTLY = {"engine", "window"}
_SMALL = {"the", "a", "an", "of", "to", "and", "or", "in", "may", "can", "could"}
_REMEDIES = {
    "software": {"software"},
    "softwareandpart": {"softwareandpart"},
    "inspectthensoftware": {"inspectthensoftware"},
    "part": {"part"},
    # "Inspect and, if necessary, replace" is a part here (tests/kb/intake/test_remedies.py).
    "inspect": {"inspection", "part"},
    "inspection": {"inspection"},
    "notice": {"notice"},
    "other": {"notice"},
}


@cache
def names() -> NamesOnFile:
    """What a shop with notes on the invented makes knows."""
    lines = [CoverageLine(make, model) for make, models in ON_FILE.items() for model in models]
    return names_in_papers(lines, make_lexicon(trade_concepts()), families_on_file())


def papers(name: str) -> list[dict[str, Any]]:
    held: list[dict[str, Any]] = json.loads((FIXTURES / f"papers_{name}.json").read_text("utf-8"))
    return held


def same(asked: str, read: str, marked: str) -> bool:
    """Whether a proposal is what the mark says.

    Sentences share six of ten words of the shorter one; a proposal that says less than half of what is
    marked is not the same, one that says more around it is.
    """
    if asked in _SENTENCES:
        one, other = _words(read), _words(marked)
        shared = len(one & other)
        return shared > 0 and shared >= max(0.6 * min(len(one), len(other)), 0.5 * len(other))
    one_said, other_said = _folded(read), _folded(marked)
    if asked == "remedy":
        return one_said in _REMEDIES[other_said]
    if asked == "module" and same_module(read, marked):
        return True
    within = one_said in other_said or other_said in one_said
    return one_said == other_said or (within and asked in {*_PARTLY, "module"})


@dataclass
class Counted:
    """By field: marks, marks found, proposals, proposals that are right."""

    marked: Counter[str] = field(default_factory=Counter)
    found: Counter[str] = field(default_factory=Counter)
    proposed: Counter[str] = field(default_factory=Counter)
    right: Counter[str] = field(default_factory=Counter)

    def precision(self, asked: str) -> float:
        return self.right[asked] / self.proposed[asked]

    def recall(self, asked: str) -> float:
        return self.found[asked] / self.marked[asked]


@cache
def counted(name: str) -> Counted:
    """What the reader makes of a marked set; what its marker was unsure of (?) may be read or not."""
    told = Counted()
    for paper in papers(name):
        read = [(one.field.value, one.value) for one in read_text(paper["text"], names()).proposals]
        marks = [(asked.removesuffix("?"), asked.endswith("?"), said) for asked, *said in paper["marks"]]
        for asked, value in read:
            told.proposed[asked] += 1
            told.right[asked] += any(f == asked and _any(f, value, said) for f, _, said in marks)
        for asked, unsure, said in marks:
            found = any(f == asked and _any(f, value, said) for f, value in read)
            told.marked[asked] += found or not unsure
            told.found[asked] += found
    return told


def _any(asked: str, read: str, marked: list[str]) -> bool:
    """A mark may be worded in several ways."""
    return any(same(asked, read, one) for one in marked)


def _words(text: str) -> set[str]:
    return set(re.findall(r"[a-z0-9]+", text.lower())) - _SMALL


def _folded(text: str) -> str:
    return re.sub(r"[\W_]", "", text.lower())
