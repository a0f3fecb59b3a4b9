"""Which closed concerns stand behind an evidence: the same counting rules, with the concerns kept.

Each function gives ids in four groups, so that their sizes are the counts shown.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kb.advice.chances import evidence
from kb.nouns.concerns import FindingResult
from kb.nouns.learning import PastConcern
from kb.nouns.notes import Grade


@dataclass(frozen=True, slots=True)
class CountedConcerns:
    """Ids of concerns: said yes and said otherwise, among the cured and among the others.

    Where there is nothing to say yes to (a starting belief), all are in the two `yes` groups. `waiting` are
    reflashed with it, still free, their window open: they count by what so many days tell.
    """

    yes_if_cured: tuple[int, ...] = ()
    no_if_cured: tuple[int, ...] = ()
    yes_if_not: tuple[int, ...] = ()
    no_if_not: tuple[int, ...] = ()
    waiting: tuple[int, ...] = ()


def of_check(concerns: Iterable[PastConcern], key: str) -> CountedConcerns:
    """Concerns whose finding of this check counts."""
    told = [
        (evidence.cured_for(concern, finding), finding.result is FindingResult.YES, concern.concern_id)
        for concern, findings in evidence.counted(c for c in concerns if evidence.answer_counts(c))
        for finding in findings
        if finding.check == key
    ]
    return _grouped(told)


def of_start(concerns: Iterable[PastConcern], update_id: int) -> CountedConcerns:
    """Concerns that say whether this update, rather than something else, was the cure."""
    told, waiting = [], []
    for concern in concerns:
        if evidence.answer_counts(concern):
            if update_id in evidence.answered_for(concern):
                told.append((concern.cured_by == update_id, True, concern.concern_id))
        elif not concern.other_work:
            waiting += [concern.concern_id for one in concern.in_window if one.update_id == update_id]
    found = _grouped(told)
    return CountedConcerns(found.yes_if_cured, (), found.yes_if_not, (), tuple(waiting))


def of_grade(concerns: Iterable[PastConcern], grade: Grade) -> CountedConcerns:
    """Candidates of closed concerns by how they matched; a concern stands once for each candidate."""
    return _grouped(
        (candidate.update_id == concern.cured_by, candidate.grade is grade, concern.concern_id)
        for concern in concerns
        if evidence.answer_counts(concern)
        for candidate in concern.candidates
        if candidate.grade is not None
    )


def of_past(concerns: Iterable[PastConcern]) -> CountedConcerns:
    """All closed concerns whose answer counts."""
    return _grouped(
        (concern.cured_by is not None, True, concern.concern_id)
        for concern in concerns
        if evidence.answer_counts(concern)
    )


def _grouped(told: Iterable[tuple[bool, bool, int]]) -> CountedConcerns:
    groups: dict[tuple[bool, bool], list[int]] = {}
    for cured, yes, concern_id in told:
        groups.setdefault((cured, yes), []).append(concern_id)
    yes_cured, no_cured, yes_not, no_not = (
        tuple(groups.get(key, ())) for key in ((True, True), (True, False), (False, True), (False, False))
    )
    return CountedConcerns(yes_cured, no_cured, yes_not, no_not)
