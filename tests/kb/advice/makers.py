"""Small values for the tests of advice; every number is invented."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from kb.nouns.advice import (
    CalibrationStatus,
    CandidateInHand,
    CheckDefinition,
    CheckInHand,
    ConcernInHand,
    Guess,
    PastCandidate,
    PastConcern,
    PastFinding,
)
from kb.nouns.concerns import FindingResult
from kb.nouns.notes import Grade

TODAY = date(2026, 11, 20)
OPENED = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
DECIDED = OPENED + timedelta(hours=3)
ANSWERED = OPENED + timedelta(days=90)


def check(key: str, cured: float = 2.0, other: float = 6.0, **more: object) -> CheckDefinition:
    weights = {"yes_if_cured": Guess(cured, 8.0), "yes_if_not": Guess(other, 8.0), "minutes": 12.0}
    return CheckDefinition(key, key.capitalize(), **(weights | more))  # type: ignore[arg-type]


def candidate(note_id: int = 1, **more: object) -> CandidateInHand:
    given: dict[str, object] = {
        "grade": Grade.STRONG,
        "status": CalibrationStatus.SUPERSEDED,
        "looked_up_on": date(2026, 11, 1),
    }
    return CandidateInHand(
        note_id,
        f"PB-{note_id}",
        f"Update {note_id}",
        "ECM",
        **(given | more),  # type: ignore[arg-type]
    )


def in_hand(
    candidates: tuple[CandidateInHand, ...], checks: tuple[CheckInHand, ...] = (), **more: object
) -> ConcernInHand:
    return ConcernInHand(2087, TODAY, candidates, checks, **more)  # type: ignore[arg-type]


def finding(
    key: str, result: FindingResult, at: datetime = OPENED, attached: tuple[int, ...] = (1,), **more: bool
) -> PastFinding:
    return PastFinding(key, result, at, attached, **more)


def past(
    number: int,
    cured_by: int | None,
    findings: tuple[PastFinding, ...] = (),
    updates: tuple[int, ...] = (1,),
    **more: object,
) -> PastConcern:
    given: dict[str, object] = {
        "answer_known": True,
        "cured_by": cured_by,
        "findings": findings,
        "decided_at": DECIDED,
        "answered_at": ANSWERED,
    }
    graded = tuple(PastCandidate(u, Grade.PARTIAL) for u in updates)
    return PastConcern(number, graded, **(given | more))  # type: ignore[arg-type]
