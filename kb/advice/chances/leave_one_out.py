"""What would have been advised of closed concerns, had each not been counted: what tempering is fitted on."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy.special import expit, logit

from kb.advice.chances import belief, evidence
from kb.advice.chances.belief import Floats, UpdateRecord
from kb.advice.chances.evidence import CheckBelief, Counted, GradeBelief
from kb.advice.chances.starting_chance import Start
from kb.nouns.advice import PastConcern, PastFinding
from kb.nouns.concerns import FindingResult

_NOTHING, _CURED, _NOT_CURED = UpdateRecord(), UpdateRecord(cured=1), UpdateRecord(not_cured=1)


@dataclass(frozen=True, slots=True)
class Waiting:
    """A concern reflashed with one update, not heard of: `told` as its windows hold it, by start."""

    concern: PastConcern
    update_id: int
    told: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class LookingBack:
    """Everything learned from all closed concerns, to be asked with one of them left out."""

    starts: tuple[Start, ...]
    checks: Mapping[str, CheckBelief]
    strengths: Mapping[str, float]
    grades: GradeBelief
    alike: frozenset[tuple[str, str]]
    _densities: dict[tuple[int, UpdateRecord], Floats] = field(default_factory=dict)
    _starts: dict[tuple[int, tuple[UpdateRecord, ...]], float] = field(default_factory=dict)

    def rows(
        self, concerns: Sequence[Counted], waiting: Sequence[Waiting] = ()
    ) -> tuple[Floats, Floats, Floats, Floats]:
        """Logit of the start, summed log likelihood ratios, outcome (1 cured), silence: an entry per concern.

        Of the candidate that led at the last advice before the first reflash or conclusion. Where the answer
        is not known yet, silence is the chance of hearing nothing so far if it did not cure; else nan.
        """
        found = [self._row(concern, counted) for concern, counted in concerns if concern.candidates]
        still = [self._waiting_row(one) for one in waiting]
        table = np.array([row for row in (*found, *still) if row is not None]).reshape(-1, 4)
        return table[:, 0], table[:, 1], table[:, 2], table[:, 3]

    def _row(
        self, concern: PastConcern, counted: tuple[PastFinding, ...]
    ) -> tuple[float, float, float, float] | None:
        """None where another candidate than the leading one cured it: no answer on the leading one."""
        added = {f.check: f for f in counted}
        kept = [(f.attached_to, self._push(concern, f, added.get(f.check))) for f in self._findings(concern)]
        answered, rows = evidence.answered_for(concern), []
        for candidate in concern.candidates:
            update = candidate.update_id
            cured = update == concern.cured_by
            push = self.grades.log_ratio_without(candidate.grade, cured) if candidate.grade else 0.0
            push += sum(value for attached, value in kept if update in attached)
            left_out = (_CURED if cured else _NOT_CURED) if update in answered else _NOTHING
            rows.append((self._start(update, (left_out,)), push, float(cured), update))
        *lead, update = max(rows, key=lambda row: row[0] + row[1])
        return (lead[0], lead[1], lead[2], math.nan) if update in answered else None

    def _waiting_row(self, one: Waiting) -> tuple[float, float, float, float] | None:
        """Of a vehicle not heard of; None where another candidate led, or two updates went in."""
        if len(one.concern.in_window) > 1 or not one.concern.candidates:
            return None
        kept = [(f.attached_to, self._push(one.concern, f, None)) for f in self._findings(one.concern)]
        rows = []
        for candidate in one.concern.candidates:
            update = candidate.update_id
            push = self.grades.log_ratio(candidate.grade) if candidate.grade else 0.0
            push += sum(value for attached, value in kept if update in attached)
            told = [UpdateRecord(in_window=(v,)) for v in one.told]
            left_out = told if update == one.update_id else [_NOTHING]
            rows.append((self._start(update, tuple(left_out)), push, update))
        start, push, update = max(rows, key=lambda row: row[0] + row[1])
        return (start, push, 0.0, 1.0 - sum(one.told) / len(one.told)) if update == one.update_id else None

    def _findings(self, concern: PastConcern) -> list[PastFinding]:
        """Those that the last advice before the decision rested on."""
        before = evidence.findings_before(concern, concern.decided_at)
        findings = [f for f in before if f.check in self.checks]
        aside = evidence.stronger_only(self.strengths, (f.check for f in findings), self.alike)
        return [f for f in findings if f.check not in aside]

    def _start(self, update_id: int, left_out: tuple[UpdateRecord, ...]) -> float:
        """Logit of an update's starting chance without one of its concerns (by start, or the same in all);
        once for each kind of concern.
        """
        key = (update_id, left_out)
        if key not in self._starts:
            gone = left_out * len(self.starts) if len(left_out) == 1 else left_out
            odds = [
                belief.log_odds_without(self._density(at, start.records.get(update_id, _NOTHING)), one)
                for at, (start, one) in enumerate(zip(self.starts, gone, strict=True))
            ]
            self._starts[key] = float(logit(expit(odds).mean()))
        return self._starts[key]

    def _density(self, at: int, record: UpdateRecord) -> Floats:
        """Of all records of a start together the first time one is asked for."""
        if (at, record) not in self._densities:
            start = self.starts[at]
            every = list({*start.records.values(), _NOTHING})
            found = belief.log_densities(start.common, every)
            self._densities.update({(at, one): row for one, row in zip(every, found, strict=True)})
        return self._densities[at, record]

    def _push(self, concern: PastConcern, finding: PastFinding, added: PastFinding | None) -> float:
        """Log likelihood ratio of a finding with what this concern added to the counts taken out."""
        check = self.checks[finding.check]
        if added is not None:
            check = check.without(added.result is FindingResult.YES, evidence.cured_for(concern, added))
        return evidence.log_ratio(check, finding.result is FindingResult.YES)
