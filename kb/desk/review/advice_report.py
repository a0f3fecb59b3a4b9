"""Whether the advice can be trusted: frozen chances against what came, and what it saved in money."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from pydantic import TypeAdapter

from kb.advice.saved_against_habits import Costs, costs_of
from kb.desk import settings as settings_desk
from kb.desk.bay.advice import learning
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.context import Desk, lead_or_owner
from kb.desk.shop_facts import ShopFacts
from kb.nouns.advice import PastConcern, Verdict
from kb.nouns.advice_inputs import ConcernInHand
from kb.nouns.currency import symbol
from kb.nouns.outcomes import INTERVAL_LEVEL
from kb.outcomes.advice_audit import ENOUGH_OUTCOMES, Audit, ReliabilityBin, Skill, audit
from kb.outcomes.money.paired_saving import Saving, saved
from kb.records.store.bay import decisions as store
from kb.records.store.bay.decisions import FrozenDecision

__all__ = ["AdviceReport", "ReliabilityBin", "Saving", "Skill", "advice_report"]

_IN_HAND: TypeAdapter[ConcernInHand] = TypeAdapter(ConcernInHand)


@dataclass(frozen=True, slots=True)
class AdviceReport:
    """The audit of the best candidate's chance, and the money against the two habits (whole units).

    A concern counts once, by its last advice before the first reflash or conclusion.

    | left out                                       | reason                                    |
    |------------------------------------------------|-------------------------------------------|
    | other work in the same visit, answer not known | nobody can tell what cured it             |
    | decided less than a window ago                 | failures would be known and cures not yet |

    Among the chances, one reflashed and heard of stands for those that fell silent. The money is the plain
    sum of its concerns. `sentences` are empty below 30 outcomes; `first_on` and `last_on` are the days of the
    first and last advice counted (None: none); `level` is that of every interval.
    """

    chances: Audit
    against_reflash_first: Saving
    against_diagnose_first: Saving
    sentences: tuple[str, ...]
    first_on: date | None
    last_on: date | None
    as_of: date
    level: float = INTERVAL_LEVEL


@lead_or_owner
def advice_report(desk: Desk) -> AdviceReport:
    """Every frozen advice whose answer is known by today."""
    last = store.last_id(desk.session, desk.shop.id)
    revision = (last, *desk.up_to("outcomes", "notes", "settings"), desk.today)
    return desk.memory.recall("advice report", revision, lambda: _look_back(desk))


def _look_back(desk: Desk) -> AdviceReport:
    kept = updates_desk.on_file(desk).kept
    frozen: dict[int, list[FrozenDecision]] = {}
    for decision in store.every_decision(desk.session, desk.shop.id):
        frozen.setdefault(decision.concern_id, []).append(decision)
    until = desk.now - timedelta(days=settings_desk.current(desk).window_days)
    told_of = [
        (past, taken)
        for past in learning.past_concerns(desk)
        for taken in [_before_the_answer(frozen.get(past.concern_id, ()), past)]
        if taken and taken[-1].at <= until and not past.other_work
    ]
    stands_for = 1.0 / share_heard_of([past for past, _taken in told_of])
    chances: list[float] = []
    cured: list[float] = []
    weights: list[float] = []
    money: list[Costs] = []
    known = [(past, taken) for past, taken in told_of if past.answer_known]
    for past, taken in known:
        weight = stands_for if past.reflashed else 1.0
        best = next(iter(taken[-1].advice["candidates"]), None)
        if best is not None:
            chances.append(best["chance"])
            cured.append(float(kept(best["note"]) == past.cured_by))
            weights.append(weight)
        followed = _costs(taken, past.cured_by, {one: kept(one) for one in _notes(taken)})
        if followed is not None:
            money.append(followed)
    told = audit(chances, cured, INTERVAL_LEVEL, weights)
    first, diagnosed = _savings(money)
    said = _sentences(told, first, diagnosed, desk.shop.currency)
    moments = [taken[-1].at for _past, taken in known]
    return AdviceReport(told, first, diagnosed, said, *_first_and_last(moments, desk.shop), desk.today)


def _savings(money: Sequence[Costs]) -> tuple[Saving, Saving]:
    """Against reflashing first, and against always diagnosing first."""
    by_advice = [one.advice for one in money]
    return (
        saved([one.reflash_first for one in money], by_advice, INTERVAL_LEVEL),
        saved([one.diagnose_first for one in money], by_advice, INTERVAL_LEVEL),
    )


def _first_and_last(moments: Sequence[datetime], shop: ShopFacts) -> tuple[date | None, date | None]:
    """The shop's local days of the first and last moment."""
    days = [shop.day_of(moment) for moment in moments]
    return min(days, default=None), max(days, default=None)


def share_heard_of(concerns: Sequence[PastConcern]) -> float:
    """Of the concerns reflashed, the share whose answer is known, above 0; silence is taken to be no sign."""
    reflashed = [past for past in concerns if past.reflashed]
    known = sum(past.answer_known for past in reflashed)
    return known / len(reflashed) if known else 1.0


def _before_the_answer(taken: Sequence[FrozenDecision], past: PastConcern) -> list[FrozenDecision]:
    return [one for one in taken if past.decided_at is None or one.at <= past.decided_at]


def _notes(taken: Sequence[FrozenDecision]) -> set[int]:
    return {one["note_id"] for decision in taken for one in decision.inputs["concern"]["candidates"]}


def _costs(taken: Sequence[FrozenDecision], cured_by: int | None, kept: Mapping[int, int]) -> Costs | None:
    settled = [one for one in taken if one.verdict != Verdict.CHECK_FIRST.value]
    if not settled:
        return None
    in_hand = _IN_HAND.validate_python(settled[-1].inputs["concern"])
    return costs_of(in_hand, Verdict(settled[-1].verdict), taken[0].at, cured_by, kept)


def _sentences(told: Audit, first: Saving, diagnosed: Saving, currency: str) -> tuple[str, ...]:
    if told.cannot_tell_yet:
        return ()
    habits = ((first, "reflashing first"), (diagnosed, "always diagnosing first"))
    return tuple(
        _saved_or_cost(one, habit, symbol(currency))
        for one, habit in habits
        if one.concerns >= ENOUGH_OUTCOMES
    )


def _saved_or_cost(one: Saving, habit: str, sign: str) -> str:
    """In words: what it saved, or what it cost, the interval told the same way round.

    Where the interval holds zero it may have: so much cannot be told from nothing.
    """
    low, high = one.interval
    unsure = low <= 0.0 <= high
    word, amount = "saved", one.saved
    if amount < 0:
        word, amount, low, high = "cost", -amount, -high, -low
    ends = [f"{'−' if end < 0 else ''}{sign}{abs(end):,.0f}" for end in (low, high)]
    did = f"may have {word}" if unsure else word
    doubt = "; this cannot be told from nothing" if unsure else ""
    between = f"{INTERVAL_LEVEL:.0%} interval {ends[0]} to {ends[1]}"
    return (
        f"The advice {did} {sign}{amount:,.0f} against {habit} on {one.concerns} concerns{doubt} ({between})."
    )
