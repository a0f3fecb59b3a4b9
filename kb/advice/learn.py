"""What the shop has learned from its closed concerns. Depends on them and on settings, nothing else."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from kb.advice import alike, belief, evidence, tempering
from kb.advice.belief import Hierarchy, UpdateRecord
from kb.advice.evidence import CheckBelief, GradeBelief
from kb.advice.looking_back import LookingBack, Waiting
from kb.advice.selection import Considered, reflashed_anyway, told_by
from kb.nouns.advice import (
    AdviceSettings,
    CarryOver,
    CheckDefinition,
    EvidenceCounts,
    InWindow,
    PastConcern,
)
from kb.outcomes.silence import Silence, nothing_counted


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

    @property
    def of_updates(self) -> EvidenceCounts:
        """Cured and not cured of all updates together."""
        every = self.records.values()
        cured, other = sum(one.cured for one in every), sum(one.not_cured for one in every)
        return EvidenceCounts(cured=round(cured), not_cured=round(other))

    def record(self, update_id: int) -> UpdateRecord:
        return self.carried.get(update_id) or self.records.get(update_id) or UpdateRecord()


def learn(
    concerns: Iterable[PastConcern],
    checks: Sequence[CheckDefinition],
    settings: AdviceSettings,
    *,
    silence: Silence | None = None,
    carry_overs: Sequence[CarryOver] = (),
    revision: int = 0,
) -> Learned:
    """All beliefs at once. Concerns without a known answer count only by their open windows."""
    every = tuple(concerns)
    closed = tuple(c for c in every if evidence.answer_counts(c))
    records, waiting = update_records(every, silence or nothing_counted(settings.window_days))
    counted = evidence.counted(closed)
    counts = evidence.count_checks(counted)
    beliefs = {d.key: evidence.check_belief(d, counts.get(d.key, EvidenceCounts())) for d in checks}
    grades = evidence.grade_belief(closed, settings)
    common = belief.common_belief(records.values(), settings)
    agreeing = alike.agreeing(counted, settings)
    same = alike.grouped(checks) | {(p.first, p.second) for p in agreeing}
    strengths = {key: known.strength for key, known in beliefs.items()}
    looking_back = LookingBack(common, records, beliefs, strengths, grades, same)
    latest = settings.tempering_concerns
    fitted = tempering.fit(*looking_back.rows(counted[-latest:], waiting[-latest:]))
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
    concerns: Iterable[PastConcern], silence: Silence
) -> tuple[dict[int, UpdateRecord], list[Waiting]]:
    """Per update: cured, not cured, and what the open windows of its vehicles tell.

    A vehicle still free tells more than its days: that it was reflashed at all (kb/advice/selection.py). The
    concerns of those come beside it, with what each tells.
    """
    cured: Counter[int] = Counter()
    failed: Counter[int] = Counter()
    other: Counter[int] = Counter()
    free: list[tuple[PastConcern, int, float]] = []
    for concern in concerns:
        if evidence.answer_counts(concern):
            for update in evidence.answered_for(concern):
                _side(concern, update, cured, failed, other)[update] += 1
        elif not concern.other_work:
            free += [(concern, w.update_id, known_by(w, silence)) for w in concern.in_window]
    shown = [v for _concern, _update, v in free]
    anyway = reflashed_anyway(Considered(cured.total(), failed.total(), other.total(), shown))
    waiting = [Waiting(concern, update, told_by(v, anyway)) for concern, update, v in free]
    windows: dict[int, list[float]] = {}
    for one in waiting:
        windows.setdefault(one.update_id, []).append(one.told)
    records = {
        update: belief.counted_windows(cured[update], failed[update] + other[update], windows.get(update, ()))
        for update in sorted(cured.keys() | failed.keys() | other.keys() | windows.keys())
    }
    return records, waiting


def _side(
    concern: PastConcern, update: int, cured: Counter[int], failed: Counter[int], other: Counter[int]
) -> Counter[int]:
    if update == concern.cured_by:
        return cured
    return failed if update in concern.reflashed else other


def known_by(vehicle: InWindow, silence: Silence) -> float:
    """The chance v that a failure of this vehicle would be known by now, at mean h."""
    return float(silence.known_by(vehicle.seen, vehicle.age, silence.mean_told))


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


def _tell_the_lead(pairs: Sequence[alike.AlikePair], checks: Sequence[CheckDefinition]) -> tuple[str, ...]:
    names = {c.key: c.name for c in checks}
    return tuple(
        f"“{names.get(p.first, p.first)}” and “{names.get(p.second, p.second)}” agreed in "
        f"{p.together} concerns (phi {p.phi:.2f}): on one concern only the stronger counts."
        for p in pairs
    )
