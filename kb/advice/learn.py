"""What the shop has learned from its closed concerns. Depends on them and on settings, nothing else."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kb.advice import alike, belief, evidence, tempering
from kb.advice.belief import Hierarchy, UpdateRecord
from kb.advice.evidence import CheckBelief, GradeBelief
from kb.nouns.advice import (
    AdviceSettings,
    CarryOver,
    CheckDefinition,
    EvidenceCounts,
    PastConcern,
    PastFinding,
    ReturnCurve,
)
from kb.nouns.concerns import FindingResult


@dataclass(frozen=True, slots=True)
class Learned:
    """Beliefs by which every concern is advised until the next outcome. Keep it by revision.

    `records` are the updates' own; `carried` adds what they take over from calibrations they replaced.
    """

    revision: int
    closed: int
    common: Hierarchy
    records: Mapping[int, UpdateRecord]
    carried: Mapping[int, UpdateRecord]
    checks: Mapping[str, CheckBelief]
    grades: GradeBelief
    tempering: tempering.Tempering
    alike: frozenset[tuple[str, str]]
    lead_notices: tuple[str, ...]

    def record(self, update_id: int) -> UpdateRecord:
        return self.carried.get(update_id) or self.records.get(update_id) or UpdateRecord()


def learn(
    concerns: Iterable[PastConcern],
    checks: Sequence[CheckDefinition],
    settings: AdviceSettings,
    *,
    curve: ReturnCurve | None = None,
    carry_overs: Sequence[CarryOver] = (),
    revision: int = 0,
) -> Learned:
    """All beliefs at once. Concerns without a known answer count only by their open windows."""
    every = tuple(concerns)
    closed = tuple(c for c in every if evidence.answer_counts(c))
    records = update_records(every, curve or ReturnCurve(), settings)
    counts = evidence.count_checks(closed)
    beliefs = {d.key: evidence.check_belief(d, counts.get(d.key, EvidenceCounts())) for d in checks}
    grades = evidence.grade_belief(closed, settings)
    common = belief.common_belief(records.values(), settings)
    agreeing = alike.agreeing(closed, settings)
    same = alike.grouped(checks) | {(p.first, p.second) for p in agreeing}
    fitted = _temper(closed, common, records, beliefs, grades, same)
    return Learned(
        revision,
        len(closed),
        common,
        records,
        _carried(records, carry_overs, settings),
        beliefs,
        grades,
        fitted,
        same,
        _tell_the_lead(agreeing, checks),
    )


def update_records(
    concerns: Iterable[PastConcern], curve: ReturnCurve, settings: AdviceSettings
) -> dict[int, UpdateRecord]:
    """Per update: cured, not cured, and the open windows of its vehicles."""
    cured: dict[int, int] = {}
    other: dict[int, int] = {}
    windows: dict[int, list[float]] = {}
    for concern in concerns:
        if evidence.answer_counts(concern):
            for candidate in concern.candidates:
                side = cured if candidate.update_id == concern.cured_by else other
                side[candidate.update_id] = side.get(candidate.update_id, 0) + 1
        elif not concern.other_work:
            for seen in concern.in_window:
                windows.setdefault(seen.update_id, []).append(shown_by(seen.days, curve, settings))
    return {
        update: UpdateRecord(
            cured.get(update, 0), other.get(update, 0), tuple(sorted(windows.get(update, ())))
        )
        for update in sorted(cured.keys() | other.keys() | windows.keys())
    }


def shown_by(days: float, curve: ReturnCurve, settings: AdviceSettings) -> float:
    """Share v of failures that would have shown by a day, from the pooled curve (a step function)."""
    if not curve.days:
        return min(1.0, max(0.0, days / settings.window_days))
    at = int(np.searchsorted(curve.days, days, side="right")) - 1
    return curve.shown[at] if at >= 0 else 0.0


def _carried(
    records: Mapping[int, UpdateRecord], carry_overs: Sequence[CarryOver], settings: AdviceSettings
) -> dict[int, UpdateRecord]:
    """Records of newer calibrations with that of the replaced one at reduced weight."""
    carried: dict[int, UpdateRecord] = {}
    for pair in carry_overs:
        replaced = records.get(pair.replaced_id)
        if replaced is not None:
            own = carried.get(pair.update_id) or records.get(pair.update_id) or UpdateRecord()
            carried[pair.update_id] = own.plus(replaced, settings.carry_over)
    return carried


def _temper(
    closed: Sequence[PastConcern],
    common: Hierarchy,
    records: Mapping[int, UpdateRecord],
    checks: Mapping[str, CheckBelief],
    grades: GradeBelief,
    same: frozenset[tuple[str, str]],
) -> tempering.Tempering:
    """Fit on one row per concern: its leading candidate at the last advice, the concern itself left out."""
    starts = _StartsWithout(common, records)
    rows = [_row(concern, starts, checks, grades, same) for concern in closed if concern.candidates]
    table = np.array(rows).reshape(-1, 3)
    return tempering.fit(table[:, 0], table[:, 1], table[:, 2])


class _StartsWithout:
    """Logit of an update's starting chance with one of its concerns taken out; computed once each."""

    def __init__(self, common: Hierarchy, records: Mapping[int, UpdateRecord]) -> None:
        self._common, self._records = common, records
        self._known: dict[tuple[UpdateRecord, bool], float] = {}

    def __call__(self, update_id: int, cured: bool) -> float:
        record = self._records[update_id]
        key = (record, cured)
        if key not in self._known:
            left = UpdateRecord(record.cured - cured, record.not_cured - (not cured), record.in_window)
            chance = belief.starting_mean(belief.without(self._common, record, left), left)
            self._known[key] = math.log(chance / (1.0 - chance))
        return self._known[key]


def _row(
    concern: PastConcern,
    starts: _StartsWithout,
    checks: Mapping[str, CheckBelief],
    grades: GradeBelief,
    same: frozenset[tuple[str, str]],
) -> tuple[float, float, float]:
    """(start, push, cured) of the candidate that led at the last advice before anything was done."""
    findings = [f for f in evidence.findings_before(concern, concern.decided_at) if f.check in checks]
    counted = {f.check: f for f in evidence.findings_before(concern, concern.answered_at)}
    aside = evidence.stronger_only(checks, (f.check for f in findings), same)
    kept = [
        (f, _push_without(concern, f, counted.get(f.check), checks[f.check]))
        for f in findings
        if f.check not in aside
    ]
    rows = []
    for candidate in concern.candidates:
        cured = candidate.update_id == concern.cured_by
        push = grades.log_ratio_without(candidate.grade, cured)
        push += sum(value for f, value in kept if candidate.update_id in f.attached_to)
        rows.append((starts(candidate.update_id, cured), push, float(cured)))
    return max(rows, key=lambda row: row[0] + row[1])


def _push_without(
    concern: PastConcern, finding: PastFinding, counted: PastFinding | None, check: CheckBelief
) -> float:
    """Log likelihood ratio of a finding with what this concern added to the counts taken out."""
    if counted is not None:
        said = counted.result is FindingResult.YES
        check = check.without(said, evidence.cured_for(concern, counted))
    return evidence.log_ratio(check, finding.result is FindingResult.YES)


def _tell_the_lead(pairs: Sequence[alike.AlikePair], checks: Sequence[CheckDefinition]) -> tuple[str, ...]:
    names = {c.key: c.name for c in checks}
    return tuple(
        f"“{names.get(p.first, p.first)}” and “{names.get(p.second, p.second)}” agreed in "
        f"{p.together} concerns (phi {p.phi:.2f}): on one concern only the stronger counts."
        for p in pairs
    )
