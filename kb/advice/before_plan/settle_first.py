"""What comes before any plan: hard stops, nothing to install, not read, stale look-up. In that order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from kb.nouns.advice import CalibrationStatus, CandidateInHand, ConcernInHand, StopInHand, StopKind, StopSaid
from kb.nouns.bay.first_steps import ToSettle
from kb.nouns.concerns import WHAT_IS_RECOVERY
from kb.nouns.notes import Remedy

STOPS: dict[StopKind, tuple[str, str]] = {
    StopKind.BATTERY: (
        "Battery or charging is not good enough to program.",
        "Charge or replace the battery, fix charging, and test both again.",
    ),
    StopKind.RECALL_OPEN: (
        "A recall that touches this module or concern is open on this VIN.",
        "Send it to the dealer for the recall, or have it closed there first.",
    ),
    StopKind.NO_COMMUNICATION: (
        "The module does not communicate.",
        "Check the module's feeds, grounds and bus before anything is programmed.",
    ),
    StopKind.MODULE_REPLACED: (
        "The module was replaced: this is programming by the manufacturer's procedure, not a diagnosis.",
        "Follow the manufacturer's programming procedure for a replaced module.",
    ),
    StopKind.AFTERMARKET_CALIBRATION: (
        "An aftermarket calibration was found: a reflash would overwrite it.",
        "Ask the customer before overwriting it; use released calibrations only.",
    ),
    StopKind.NOT_RECOVERED: (
        "A module is not recovered.",
        f"Follow the manufacturer's recovery steps and record the recovery. {WHAT_IS_RECOVERY}",
    ),
}

LOOK_UP = "Look up the newest calibration ({modules}) by VIN before buying a subscription."


LOOK_UP_BARE = (
    "IDs not known: look up the newest calibration of the {modules} by VIN at the manufacturer "
    "({name} says reprogram)."
)
LOOK_UP_RECALL = "IDs not known: look {name} up by VIN. Open? The dealer does it free."

PART = "{name} is software and a part: enter the part with its labor among the costs of this concern."

CONFIRM = (
    "Confirm the calibration ID of the {module} on the vehicle: nobody read {id} from it, "
    "and such an ID never counts as the latest."
)


@dataclass(frozen=True, slots=True)
class Before:
    """What must be settled first, and the updates that remain candidates.

    `actions` are the steps that come before the plan. `nothing_to_install` says that updates fell away
    because the module already holds the newest calibration. An update without IDs is the key
    of its look-up where that comes before the readings.
    """

    stops: tuple[StopSaid, ...]
    candidates: tuple[CandidateInHand, ...]
    nothing_to_install: bool
    actions: tuple[ToSettle, ...]
    notices: tuple[str, ...]


def settle(concern: ConcernInHand, look_up_limit_days: int) -> Before:
    """Sort out what no chance can outvote."""
    stops = tuple(_said(stop) for stop in concern.stops if stop.is_open)
    done = tuple(c for c in concern.candidates if _newest(c, concern.as_of, look_up_limit_days))
    left = tuple(c for c in concern.candidates if c not in done)
    bare = [c for c in left if not (c.ids_known or is_fresh(c, concern.as_of, look_up_limit_days))]
    read = tuple(
        ToSettle(text)
        for text in _calibrations_first(
            tuple(c for c in left if _is_read_here(c, bare)), concern.as_of, look_up_limit_days
        )
    )
    bare_first = bool(bare) and (not read or left[0] is bare[0])
    asked = tuple(ToSettle(_look_up_bare(c), str(c.note_id) if bare_first else "") for c in bare)
    actions = (
        *(ToSettle(stop.action) for stop in stops),
        *concern.to_settle,
        *(asked + read if bare_first else read + asked),
    )
    return Before(stops, left, bool(done), actions, _notices(concern, done, left))


def _calibrations_first(known: tuple[CandidateInHand, ...], as_of: date, limit_days: int) -> list[str]:
    actions = _read_first(known)
    if not any(c.status is CalibrationStatus.NOT_READ for c in known):
        actions += _look_up_first(known, as_of, limit_days)
    return actions


def _is_read_here(candidate: CandidateInHand, waiting: Sequence[CandidateInHand]) -> bool:
    """Not while nobody knows which calibration it is; and for a recall that is open the dealer reads it."""
    return candidate not in waiting and (candidate.ids_known or not candidate.is_recall)


def _look_up_bare(candidate: CandidateInHand) -> str:
    if candidate.is_recall:
        return LOOK_UP_RECALL.format(name=candidate.name)
    return LOOK_UP_BARE.format(modules=_modules([candidate]), name=candidate.name)


def _said(stop: StopInHand) -> StopSaid:
    sentence, action = STOPS[stop.kind]
    return StopSaid(stop.kind.value, f"{sentence} {stop.detail}".strip(), action)


def is_fresh(candidate: CandidateInHand, as_of: date, limit_days: int) -> bool:
    """Whether the newest calibration was looked up no longer ago than the shop's limit."""
    looked_up = candidate.looked_up_on
    return looked_up is not None and (as_of - looked_up).days <= limit_days


def _newest(candidate: CandidateInHand, as_of: date, limit_days: int) -> bool:
    newest = candidate.ids_known and candidate.status is CalibrationStatus.NEWEST
    return newest and is_fresh(candidate, as_of, limit_days)


def _modules(candidates: list[CandidateInHand]) -> str:
    names = dict.fromkeys(c.module or "module" for c in candidates)
    return " and ".join(names)


def _read_first(left: tuple[CandidateInHand, ...]) -> list[str]:
    """A typed ID that would be the newest comes as not read, with its ID."""
    waiting = [c for c in left if c.status is CalibrationStatus.NOT_READ]
    unread = [c for c in waiting if not c.calibration_id]
    typed = dict.fromkeys(
        CONFIRM.format(module=_modules([c]), id=c.calibration_id) for c in waiting if c.calibration_id
    )
    return ([f"Read the calibration ID of the {_modules(unread)}."] if unread else []) + list(typed)


def _look_up_first(left: tuple[CandidateInHand, ...], as_of: date, limit_days: int) -> list[str]:
    stale = [c for c in left if not is_fresh(c, as_of, limit_days)]
    if not stale:
        return []
    return [LOOK_UP.format(modules=_modules(stale))]


def _notices(
    concern: ConcernInHand, done: tuple[CandidateInHand, ...], left: tuple[CandidateInHand, ...]
) -> tuple[str, ...]:
    notices = [*concern.notices, *concern.left_out_by_year]
    notices += [
        f"{c.module or 'Module'}: {c.calibration_id or 'the calibration read'} is the latest we know of, "
        f"looked up {c.looked_up_on:%b} {c.looked_up_on.day}: {c.name} has nothing to install."
        for c in done
        if c.looked_up_on
    ]
    notices += [
        f"{c.module or 'Module'}: {c.calibration_id or 'the calibration read'} is not on file. "
        "That is no proof of an aftermarket calibration; it may have been updated by air."
        for c in left
        if c.status is CalibrationStatus.NOT_ON_FILE
    ]
    notices += [PART.format(name=c.name) for c in left if c.remedy is Remedy.SOFTWARE_AND_PART]
    lifted = [s for s in concern.stops if not s.is_open]
    notices += [f"Override by {s.lifted_by}: {STOPS[s.kind][0]} Reason: {s.lifted_because}" for s in lifted]
    return tuple(dict.fromkeys(notices))  # two updates may say the same of their module
