"""Which updates may be the fix of a concern: those about it, at most three, best first."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from kb.nouns.notes import Grade

MOST = 3


@dataclass(frozen=True, slots=True)
class Offered:
    """An update that the search offers. `merged` are older ones of its lineage that it stands for."""

    note_id: int
    grade: Grade
    all_codes_named: bool
    merged: tuple[int, ...] = ()


def is_about(symptom_told: bool, defining: Collection[str], present: Collection[str]) -> bool:
    """Whether a note is about a concern: it tells a symptom of it, or a code that defines its condition is
    present. Words that are merely shared, and codes that many faults store, are no reason to program.
    """
    return symptom_told or not {_base(code) for code in defining}.isdisjoint(map(_base, present))


def _base(code: str) -> str:
    """The code without its failure type, which a scan or a bulletin may leave out."""
    return code.partition("-")[0]


def best_few(offered: Sequence[Offered]) -> tuple[Offered, ...]:
    """At most three; weak matches only where nothing matches better."""
    better = [one for one in offered if one.grade is not Grade.WEAK]
    return tuple((better or list(offered))[:MOST])
