"""Past concerns as the advice learns from them: frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from kb.nouns.concerns import FindingResult
from kb.nouns.notes import Grade


@dataclass(frozen=True, slots=True)
class PastCandidate:
    """An update as the search graded it when the concern was opened; None for one of an imported history."""

    update_id: int
    grade: Grade | None


@dataclass(frozen=True, slots=True)
class PastFinding:
    """A finding on a past concern; `attached_to` are update ids among that concern's candidates.

    `number` is what was measured, in `unit`; None where nothing was.
    """

    check: str
    result: FindingResult
    recorded_at: datetime
    attached_to: tuple[int, ...]
    answered_already: bool = False
    number: float | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class InWindow:
    """A vehicle reflashed with an update and not known to have failed, last seen on day `seen`.

    It is `age` days old, up to the window, an update by air or a later reflash; both in days of the window.
    """

    update_id: int
    seen: int
    age: int


@dataclass(frozen=True, slots=True)
class PastConcern:
    """One concern to learn from.

    `answer_known` with `cured_by` None means that no candidate cured it. `decided_at` is the first reflash
    or conclusion, `answered_at` the moment when the answer was known. Other work in the same visit makes
    the answer unknown. `in_window` are its reflashes whose window is still open, `reflashed` the updates
    installed on it, whatever came of them.
    """

    concern_id: int
    candidates: tuple[PastCandidate, ...]
    answer_known: bool
    cured_by: int | None = None
    other_work: bool = False
    decided_at: datetime | None = None
    answered_at: datetime | None = None
    findings: tuple[PastFinding, ...] = ()
    in_window: tuple[InWindow, ...] = ()
    reflashed: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class CarryOver:
    """An update whose record starts from that of the one it replaced."""

    update_id: int
    replaced_id: int
