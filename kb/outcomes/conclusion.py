"""The one conclusion that two groups bear, and where they differ besides."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from kb.nouns.outcomes import INTERVAL_LEVEL
from kb.outcomes.comparison import Comparison

FEW = 10
"""Known answers of a group below which nothing is concluded."""
UNLIKE = 0.2
"""Share of vehicles that would have to change kind to make the groups alike, from which to warn."""


@dataclass(frozen=True, slots=True)
class Answers:
    """How the reflashes of a group stand; those with other work in the same visit are in none of the counts.

    `ended`: sold, updated by air or superseded within the window. `due` are past their window and not ended;
    an answer is known of `due_known` of them.
    """

    cured: int
    failed: int
    waiting: int
    not_asked: int
    ended: int
    due: int
    due_known: int

    @property
    def reflashes(self) -> int:
        return self.cured + self.failed + self.waiting + self.not_asked + self.ended

    @property
    def known(self) -> int:
        """Vehicles with an answer: cured or not."""
        return self.cured + self.failed

    @property
    def too_few(self) -> bool:
        """Whether too few answers are known for a conclusion."""
        return self.known < FEW

    @property
    def too_early(self) -> bool:
        """Whether no vehicle could have reached the end of the window, by days or by miles."""
        return not self.due and not self.cured


class Conclusion(Enum):
    """What two groups bear, in the order in which one goes before the next."""

    TOO_EARLY = "too early"
    CANNOT_TELL_YET = "cannot tell yet"
    TESTS_DISAGREE = "the two tests disagree"
    NOT_ASKED = "those that wait or were not asked could turn it"
    DIFFER = "more than luck alone explains"
    CLOSE = "too close to tell"


def conclude(
    found: Comparison | None, first: Answers, second: Answers, level: float = INTERVAL_LEVEL
) -> Conclusion:
    """One conclusion of both tests, each at `level`: of the rates at the window, and of the whole curves.

    They agree where both tell the groups apart the same way round, or neither does. As with the best and the
    worst of all updates (design, section 6), nothing is concluded that silence could turn round: failures are
    heard of first, so a young group looks bad for as long as most of it waits.
    """
    if found is None or first.too_early or second.too_early:
        return Conclusion.TOO_EARLY
    if first.too_few or second.too_few:
        return Conclusion.CANNOT_TELL_YET
    if found.rates_apart != found.curves_apart(level):
        return Conclusion.TESTS_DISAGREE
    if not found.rates_apart:
        return Conclusion.CLOSE
    turned = any((low if found.rates_apart > 0 else -high) <= 0.0 for low, high in found.by_silence)
    return Conclusion.NOT_ASKED if turned else Conclusion.DIFFER


def warnings(
    first: Answers,
    second: Answers,
    mixes: Mapping[str, tuple[Mapping[str, int], Mapping[str, int]]] | None = None,
) -> tuple[str, ...]:
    """Where the groups differ besides; `mixes` holds vehicles per kind by name (make, mileage).

    What followed the reflash is no proof of what caused it.
    """
    return (
        *_follow_up(first, second),
        *(
            f"The groups differ by {name}: the difference may come from that."
            for name, (one, other) in (mixes or {}).items()
            if unlikeness(one, other) > UNLIKE
        ),
    )


def unlikeness(first: Mapping[str, int], second: Mapping[str, int]) -> float:
    """Half the summed distance of the shares per kind: 0 alike, 1 nothing in common; 0 if one is empty."""
    n1, n2 = sum(first.values()), sum(second.values())
    if not n1 or not n2:
        return 0.0
    kinds = first.keys() | second.keys()
    return sum(abs(first.get(kind, 0) / n1 - second.get(kind, 0) / n2) for kind in kinds) / 2.0


def _follow_up(first: Answers, second: Answers) -> list[str]:
    """Only vehicles past their window are held against each other: one that waits cannot be asked yet. A few
    of them say nothing of how a group was followed up.
    """
    if min(first.due, second.due) < FEW:
        return []
    better, other = (first.due_known, first.due), (second.due_known, second.due)
    names = ("first", "second")
    if better[0] / better[1] < other[0] / other[1]:
        better, other, names = other, better, names[::-1]
    if better[0] / better[1] - other[0] / other[1] <= UNLIKE:
        return []
    said = (
        f"The {names[0]} group was followed up much better: past their window, an answer is known of "
        f"{better[0]} of its {better[1]} vehicles, in the {names[1]} group of {other[0]} of {other[1]}. "
        "Those not heard of may have fared otherwise."
    )
    return [said]
