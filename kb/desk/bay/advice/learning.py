"""What the shop's concerns teach, gathered for the advice and remembered until an outcome is added."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import UTC, datetime, time

from kb.advice.before_plan.checks_of_updates import answered_already, speaks_for
from kb.advice.chances.learn import Learned, learn
from kb.desk import settings as settings_desk
from kb.desk.bay.advice import checks_on_file
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.outcomes import counted as counted_desk
from kb.desk.bay.outcomes import observed as observed_desk
from kb.desk.context import Desk
from kb.nouns.advice import (
    CarryOver,
    InWindow,
    PastCandidate,
    PastConcern,
    PastFinding,
)
from kb.nouns.concerns import Ending, FindingResult
from kb.nouns.notes import Grade
from kb.nouns.outcomes import FAILURES, NO_UPDATE, Observation, Standing
from kb.nouns.vehicles import fold_id
from kb.records.store.outcomes import learning as store
from kb.records.store.outcomes.learning import CandidateFacts, ConcernFacts, FindingFacts
from kb.vehicle.updates_on_file import UpdatesOnFile

_OPEN = frozenset({Standing.IN_WINDOW, Standing.OVERDUE, Standing.ENDED})


def learned(desk: Desk) -> Learned:
    """The beliefs in force. Made anew when an outcome, a setting, an update or the day changes."""
    revisions = desk.revisions()
    key = (revisions["outcomes"], revisions["settings"], updates_desk.on_file(desk), desk.today)
    return desk.memory.recall("learned", key, lambda: _learn(desk, revisions["outcomes"]))


def past_concerns(desk: Desk) -> tuple[PastConcern, ...]:
    """Every concern that had a candidate, with what is known of it today."""
    return tuple(one for one in concerns_to_count(desk) if one.candidates)


def concerns_to_count(desk: Desk) -> tuple[PastConcern, ...]:
    """The same, and those without a candidate on which a check was done: of these its results alone count."""
    observed = observed_desk.gather(desk, desk.today)
    candidates = store.candidates(desk.session, desk.shop.id)
    findings = store.findings(desk.session, desk.shop.id)
    updates = updates_desk.on_file(desk)
    return tuple(
        _past(
            facts,
            candidates.get(facts.id, ()),
            observed.get(facts.id, ()),
            findings.get(facts.id, ()),
            updates,
        )
        for facts in store.concerns(desk.session, desk.shop.id)
    )


def _learn(desk: Desk, revision: int) -> Learned:
    currency = desk.shop.currency
    definitions = [check.definition(currency) for check in checks_on_file.list_checks(desk, retired_too=True)]
    return learn(
        concerns_to_count(desk),
        definitions,
        settings_desk.current(desk).advice_settings(currency),
        silence=counted_desk.count(desk, desk.today).silence,
        carry_overs=carry_overs(updates_desk.on_file(desk)),
        revision=revision,
    )


def _past(
    facts: ConcernFacts,
    candidates: Sequence[CandidateFacts],
    observed: Sequence[Observation],
    findings: Sequence[FindingFacts],
    updates: UpdatesOnFile,
) -> PastConcern:
    offered = {
        updates.kept(one.note_id): Grade(one.grade) if one.grade else None for one in reversed(candidates)
    }
    tried = [one for one in observed if one.update_id != NO_UPDATE]
    cured = next((one for one in tried if _cured(one)), None)
    failed = {one.update_id for one in tried if one.standing in FAILURES or one.explained}
    concluded = facts.ending == Ending.OTHER_CAUSE.value and facts.closed_at is not None
    known = cured is not None or concluded or (bool(offered) and offered.keys() <= failed)
    return PastConcern(
        concern_id=facts.id,
        candidates=tuple(PastCandidate(update, grade) for update, grade in offered.items()),
        answer_known=known,
        cured_by=cured.update_id if cured else None,
        other_work=any(one.other_work for one in tried),
        decided_at=_first_of([*(one.reflash.recorded_at for one in observed), facts.closed_at]),
        answered_at=_answered_at(cured, observed, facts) if known else None,
        findings=tuple(
            _finding(one, facts, (*offered, *((cured.update_id,) if cured and not offered else ())), updates)
            for one in findings
        ),
        in_window=tuple(
            InWindow(one.update_id, one.day, _age(one)) for one in tried if offered and one.standing in _OPEN
        ),
        reflashed=tuple(one.update_id for one in tried),
    )


def _age(seen: Observation) -> int:
    return max(seen.silent_day, seen.day)


def _cured(one: Observation) -> bool:
    """Free of the concern to the window, and no other cause was found for it later."""
    return one.standing is Standing.FOLLOWED_TO_WINDOW and not one.explained


def _answered_at(
    cured: Observation | None, observed: Sequence[Observation], facts: ConcernFacts
) -> datetime | None:
    """When the answer was known: the end of a cured vehicle's window, the conclusion, or the last failure."""
    if cured is not None:
        return cured.reflash.recorded_at
    if facts.closed_at is not None:
        return facts.closed_at
    last = max((one.reflashed_on for one in observed), default=None)
    return datetime.combine(last, time.max, tzinfo=UTC) if last else None


def _first_of(instants: Sequence[datetime | None]) -> datetime | None:
    return min((one for one in instants if one is not None), default=None)


def _finding(
    one: FindingFacts, facts: ConcernFacts, offered: Collection[int], updates: UpdatesOnFile
) -> PastFinding:
    on_file = [updates.by_id[note_id] for note_id in offered if note_id in updates.by_id]
    return PastFinding(
        check=one.check,
        result=FindingResult(one.result),
        recorded_at=one.at,
        attached_to=speaks_for(one.check_id, one.system, on_file),
        answered_already=answered_already(one.check, facts.codes_scanned, facts.just_before),
        number=one.number,
        unit=one.unit,
    )


def carry_overs(updates: UpdatesOnFile) -> tuple[CarryOver, ...]:
    """Pairs of updates of one remedy where the newer replaces what the older installed, of the same make, or
    says that it replaces the older.
    """
    installed = {
        (make, fold_id(step.module), fold_id(step.new_id)): update.note_id
        for update in updates.by_id.values()
        for make in update.makes
        for step in update.steps
    }
    pairs = {
        (update.note_id, replaced)
        for update in updates.by_id.values()
        for make in update.makes
        for step in update.steps
        for old in step.old_ids
        for replaced in [installed.get((make, fold_id(step.module), fold_id(old)))]
        if replaced is not None and replaced != update.note_id
    }
    pairs |= {
        (newer, older)
        for older, news in updates.replaced.items()
        for newer in news
        if {newer, older} <= updates.by_id.keys()
    }
    remedies = {note_id: update.remedy_or_software for note_id, update in updates.by_id.items()}
    alike = (pair for pair in sorted(pairs) if remedies[pair[0]] is remedies[pair[1]])
    return tuple(CarryOver(newer, older) for newer, older in alike)
