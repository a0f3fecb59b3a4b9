"""What the shop has learned from its closed concerns. Depends on them and on settings, nothing else."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kb.advice.chances import belief, checks_alike, evidence, starting_chance, tempering
from kb.advice.chances.belief import UpdateRecord
from kb.advice.chances.evidence import CheckBelief, GradeBelief
from kb.advice.chances.leave_one_out import LookingBack, Waiting
from kb.advice.chances.reflashed_anyway import Considered, reflashed_anyway, told_by
from kb.advice.chances.starting_chance import Start
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

    `closed` counts concerns with a candidate. `starts` are equally likely: one for each value of the share
    told unasked, one alone if nobody is silent.
    """

    revision: int
    closed: int
    starts: tuple[Start, ...]
    checks: Mapping[str, CheckBelief]
    grades: GradeBelief
    tempering: tempering.Tempering
    alike: frozenset[tuple[str, str]]
    lead_notices: tuple[str, ...]

    @property
    def of_updates(self) -> EvidenceCounts:
        """Cured and not cured of all updates together."""
        every = self.starts[0].records.values()
        cured, other = sum(one.cured for one in every), sum(one.not_cured for one in every)
        return EvidenceCounts(cured=round(cured), not_cured=round(other))

    def own_answers(self, update_id: int) -> UpdateRecord:
        """Without what is carried on from a calibration that it replaced."""
        return self.starts[0].records.get(update_id) or UpdateRecord()

    def record(self, update_id: int) -> UpdateRecord:
        """With the known answers, which are the same in every start."""
        return self.starts[0].record(update_id)


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
    by_told, waiting = update_records(every, silence or nothing_counted(settings.window_days))
    counted = evidence.counted(closed)
    counts = evidence.count_checks(counted)
    beliefs = {d.key: evidence.check_belief(d, counts.get(d.key, EvidenceCounts())) for d in checks}
    grades = evidence.grade_belief(every, settings)
    starts = tuple(
        starting_chance.start(one, _carried(one, carry_overs, settings), settings) for one in by_told
    )
    agreeing = checks_alike.agreeing(counted, settings)
    same = checks_alike.grouped(checks) | {(p.first, p.second) for p in agreeing}
    strengths = {key: known.strength for key, known in beliefs.items()}
    looking_back = LookingBack(starts, beliefs, strengths, grades, same)
    latest = settings.tempering_concerns
    fitted = tempering.fit(*looking_back.rows(counted[-latest:], waiting[-latest:]))
    return Learned(
        revision,
        sum(bool(c.candidates) for c in closed),
        starts,
        beliefs,
        grades,
        fitted,
        same,
        _tell_the_lead(agreeing, checks),
    )


def update_records(
    concerns: Iterable[PastConcern], silence: Silence
) -> tuple[list[dict[int, UpdateRecord]], list[Waiting]]:
    """Per update: cured, not cured, and what the open windows of its vehicles tell; for each value of h.

    A vehicle still free tells more than its days: that it was reflashed at all
    (kb/advice/chances/reflashed_anyway.py). The concerns of those come beside it, with what each tells. Where
    there are none, h makes no difference.
    """
    cured: Counter[int] = Counter()
    failed: Counter[int] = Counter()
    other: Counter[int] = Counter()
    free: list[tuple[PastConcern, InWindow]] = []
    for concern in concerns:
        if evidence.answer_counts(concern):
            for update in evidence.answered_for(concern):
                _side(concern, update, cured, failed, other)[update] += 1
        elif not concern.other_work:
            free += [(concern, vehicle) for vehicle in concern.in_window]
    points = silence.told.tolist() if free else [silence.mean_told]
    vehicles = [vehicle for _concern, vehicle in free]
    sides = cured.total(), failed.total(), other.total()
    telling = [what_silence_tells(vehicles, sides, silence, told) for told in points]
    by_point = [_records(vehicles, told, cured, failed + other) for told in telling]
    waiting = [
        Waiting(concern, vehicle.update_id, told)
        for (concern, vehicle), told in zip(free, zip(*telling, strict=True), strict=True)
    ]
    return by_point, waiting


def what_silence_tells(
    vehicles: Sequence[InWindow], known: tuple[int, int, int], silence: Silence, told: float
) -> list[float]:
    """Of each silent vehicle the chance v' that it would not be, were it not cured and h = `told`.

    `known` answers of the shop: cured, failed, never reflashed. To four digits, which every decision keeps.
    """
    seen, age = (np.array([getattr(one, day) for one in vehicles], dtype=np.int64) for day in ("seen", "age"))
    shown = silence.known_by(seen, age, told).tolist()
    anyway = reflashed_anyway(Considered(*known, shown))
    return [round(told_by(v, anyway), 4) for v in shown]


def _records(
    vehicles: Sequence[InWindow], told: Sequence[float], cured: Counter[int], not_cured: Counter[int]
) -> dict[int, UpdateRecord]:
    windows: dict[int, list[float]] = {}
    for vehicle, v in zip(vehicles, told, strict=True):
        windows.setdefault(vehicle.update_id, []).append(v)
    return {
        update: belief.counted_windows(cured[update], not_cured[update], windows.get(update, ()))
        for update in sorted(cured.keys() | not_cured.keys() | windows.keys())
    }


def _side(
    concern: PastConcern, update: int, cured: Counter[int], failed: Counter[int], other: Counter[int]
) -> Counter[int]:
    if update == concern.cured_by:
        return cured
    return failed if update in concern.reflashed else other


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


def _tell_the_lead(
    pairs: Sequence[checks_alike.AlikePair], checks: Sequence[CheckDefinition]
) -> tuple[str, ...]:
    names = {c.key: c.name for c in checks}
    return tuple(
        f"“{names.get(p.first, p.first)}” and “{names.get(p.second, p.second)}” agreed in "
        f"{p.together} concerns (phi {p.phi:.2f}): on one concern only the stronger counts."
        for p in pairs
    )
