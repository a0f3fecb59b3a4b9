"""What each check and the search grade tell: counted beliefs and log likelihood ratios.

| a finding counts if it was                 | reason                                      |
|--------------------------------------------|---------------------------------------------|
| recorded before the answer was known       | somebody may have looked for what was known |
| yes or no                                  | "could not tell" tells nothing              |
| once per check and concern                 | the last one stands                         |
| no other work in the visit                 | the answer is not known                     |
| not answered by the complaint or the codes | the search's grade holds it already         |
| of a check attached to an update           | it says nothing of it                       |
| or of a concern that no update was about   | all of it says how things are without one   |
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from kb.advice.chances.belief import Beta, from_guess
from kb.nouns.advice import (
    AdviceSettings,
    CheckDefinition,
    EvidenceCounts,
    PastConcern,
    PastFinding,
)
from kb.nouns.concerns import FindingResult
from kb.nouns.notes import Grade

GRADES = (Grade.STRONG, Grade.PARTIAL, Grade.WEAK)
Grades = tuple[float, float, float]
COUNTED = (FindingResult.YES, FindingResult.NO)


@dataclass(frozen=True, slots=True)
class CheckBelief:
    """The two beliefs of a check: chance of yes where an update cured, and where it did not."""

    yes_if_cured: Beta
    yes_if_not: Beta
    counts: EvidenceCounts  # of closed concerns, for show; the beliefs hold them already

    @property
    def strength(self) -> float:
        """How well the check separates, whatever it says: the divergence between its two beliefs."""
        up, down = self.yes_if_cured.mean, self.yes_if_not.mean
        return (up - down) * (math.log(up / (1 - up)) - math.log(down / (1 - down)))

    def without(self, said_yes: bool, cured: bool) -> CheckBelief:
        """The belief with one counted concern taken out again."""
        yes, no = (-1.0, 0.0) if said_yes else (0.0, -1.0)
        if cured:
            return CheckBelief(self.yes_if_cured.counted(yes, no), self.yes_if_not, self.counts)
        return CheckBelief(self.yes_if_cured, self.yes_if_not.counted(yes, no), self.counts)


@dataclass(frozen=True, slots=True)
class GradeBelief:
    """Dirichlet parameters of strong, partial, weak, where an update cured and where it did not."""

    if_cured: Grades
    if_not: Grades
    cured: tuple[int, int, int] = (0, 0, 0)
    not_cured: tuple[int, int, int] = (0, 0, 0)

    @property
    def before_answers(self) -> tuple[Grades, Grades]:
        """The parameters without the counts: where both sides start."""
        return _less(self.if_cured, self.cured), _less(self.if_not, self.not_cured)

    def log_ratio(self, grade: Grade) -> float:
        i = GRADES.index(grade)
        return math.log(self.if_cured[i] / sum(self.if_cured)) - math.log(self.if_not[i] / sum(self.if_not))

    def log_ratio_without(self, grade: Grade, cured: bool) -> float:
        """The same with one counted candidate taken out again."""
        i = GRADES.index(grade)
        up, up_all = self.if_cured[i], sum(self.if_cured)
        down, down_all = self.if_not[i], sum(self.if_not)
        if cured:
            return math.log((up - 1) / (up_all - 1)) - math.log(down / down_all)
        return math.log(up / up_all) - math.log((down - 1) / (down_all - 1))


def _less(parameters: Grades, counts: tuple[int, int, int]) -> Grades:
    one, two, three = (parameter - count for parameter, count in zip(parameters, counts, strict=True))
    return one, two, three


def log_ratio(belief: CheckBelief, said_yes: bool) -> float:
    """Log likelihood ratio of a result: log(alpha / beta) of a yes, log((1 - alpha) / (1 - beta)) of a no."""
    up, down = belief.yes_if_cured.mean, belief.yes_if_not.mean
    return math.log(up / down) if said_yes else math.log((1 - up) / (1 - down))


def answer_counts(concern: PastConcern) -> bool:
    return concern.answer_known and not concern.other_work


def answered_for(concern: PastConcern) -> tuple[int, ...]:
    """The candidates of which a closed concern tells whether they, rather than something else, are the cure.

    If none cured it, all of them. If one did, only that one: it says nothing of the others against something
    else, and sharing the chance by odds already weighs the candidates against each other.
    """
    updates = tuple(c.update_id for c in concern.candidates)
    return (concern.cured_by,) if concern.cured_by in updates and concern.cured_by is not None else updates


def findings_before(concern: PastConcern, moment: datetime | None) -> tuple[PastFinding, ...]:
    """The findings that count, as they stood before a moment (None: no such moment, all stand)."""
    last: dict[str, PastFinding] = {}
    for finding in concern.findings:
        if moment is not None and finding.recorded_at >= moment:
            continue
        held = last.get(finding.check)
        if held is None or finding.recorded_at >= held.recorded_at:
            last[finding.check] = finding
    free = not concern.candidates
    return tuple(
        f for f in last.values() if f.result in COUNTED and (f.attached_to or free) and not f.answered_already
    )


def cured_for(concern: PastConcern, finding: PastFinding) -> bool:
    """Whether the finding counts among the cured: an update it is not attached to counts as not cured."""
    return concern.cured_by is not None and concern.cured_by in finding.attached_to


Counted = tuple[PastConcern, tuple[PastFinding, ...]]


def counted(concerns: Iterable[PastConcern]) -> list[Counted]:
    """Each closed concern with its findings that were recorded before the answer."""
    return [(concern, findings_before(concern, concern.answered_at)) for concern in concerns]


def count_checks(concerns: Iterable[Counted]) -> dict[str, EvidenceCounts]:
    """Per check: yes and all of the closed concerns that an update cured, and that none did."""
    tally: dict[str, list[int]] = {}
    for concern, findings in concerns:
        for finding in findings:
            row = tally.setdefault(finding.check, [0, 0, 0, 0])
            side = 0 if cured_for(concern, finding) else 2
            row[side] += finding.result is FindingResult.YES
            row[side + 1] += 1
    return {key: EvidenceCounts(*row) for key, row in tally.items()}


def check_belief(definition: CheckDefinition, counts: EvidenceCounts) -> CheckBelief:
    """The lead's guess, then the shop's closed concerns."""
    return CheckBelief(
        from_guess(definition.yes_if_cured).counted(counts.yes_if_cured, counts.cured - counts.yes_if_cured),
        from_guess(definition.yes_if_not).counted(counts.yes_if_not, counts.not_cured - counts.yes_if_not),
        counts,
    )


def grade_belief(concerns: Iterable[PastConcern], settings: AdviceSettings) -> GradeBelief:
    """The shop's setting at the grades it meets, then every candidate whose answer counts: cured, or not."""
    met, cured, other = [0, 0, 0], [0, 0, 0], [0, 0, 0]
    for concern in concerns:
        for candidate in concern.candidates:
            if candidate.grade is not None:
                at = GRADES.index(candidate.grade)
                met[at] += 1
                if answer_counts(concern):
                    (cured if candidate.update_id == concern.cured_by else other)[at] += 1
    if_cured, if_not = (
        (one + cured_or_not[0], two + cured_or_not[1], three + cured_or_not[2])
        for (one, two, three), cured_or_not in zip(
            _grades_to_start(settings, met), (cured, other), strict=True
        )
    )
    return GradeBelief(if_cured, if_not, (cured[0], cured[1], cured[2]), (other[0], other[1], other[2]))


def _grades_to_start(settings: AdviceSettings, met: Sequence[int]) -> tuple[Grades, Grades]:
    """Both guesses, each grade as usual as it is among all candidates `met`, answered or not.

    Failures are known before cures: left where they are, the guesses would let a shop whose complaints all
    match strongly take that for a sign of failure. But what all have alike tells nothing apart. So the usual
    share of a grade is counted from halfway between the guesses, at their weight; with nothing met they stay.
    """
    weight = settings.grades_weight
    sides = [[g / sum(guess) for g in guess] for guess in (settings.grades_if_cured, settings.grades_if_not)]
    middle = [(up + down) / 2 for up, down in zip(*sides, strict=True)]
    usual = [(weight * m + n) / (weight + sum(met)) for m, n in zip(middle, met, strict=True)]
    cured, other = ([u * g / m for u, g, m in zip(usual, side, middle, strict=True)] for side in sides)
    return _weighing(weight, cured), _weighing(weight, other)


def _weighing(weight: float, shares: Sequence[float]) -> Grades:
    one, two, three = (weight * share / sum(shares) for share in shares)
    return one, two, three


def stronger_only(
    strengths: Mapping[str, float], keys: Iterable[str], alike: frozenset[tuple[str, str]]
) -> dict[str, str]:
    """Checks that are set aside because they tell much the same as a stronger one: key -> the stronger's key.

    The strongest is taken first; each next is set aside if alike to one already taken. `alike` holds pairs
    in sorted order.
    """
    taken: list[str] = []
    aside: dict[str, str] = {}
    for key in sorted(keys, key=lambda k: (-strengths[k], k)):
        other = next((t for t in taken if (min(t, key), max(t, key)) in alike), None)
        if other is None:
            taken.append(key)
        else:
            aside[key] = other
    return aside
