"""What happens in the bay before any programming: gates, findings, the decision."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from random import Random
from zlib import crc32

from demo_data.cases import Case
from demo_data.programming import Desk, Sitting, program
from demo_data.story import Authorized, Decided, Found, GateSettled, LookedUp, Opened, StoryEvent, What
from demo_data.truth import DIAGNOSIS_FINDS, LEFT_UNDONE, UPDATES
from kb.nouns.concerns import Finding, FindingResult
from kb.nouns.vehicles import LookUp

ADVISED_DAYS = 180
"""Since so many days the shop has used the advice, and looks up by VIN where it asks for that."""
LOOKED_UP, LOOKED_UP_SINCE = 0.7, 0.95
_GATES = ("battery", "codes_saved", "recall_checked", "warranty_checked", "module_original")

_METER = {
    "voltage_drop": ((0.24, 0.62), (0.02, 0.1)),
    "cold_soak_sensors": ((12.0, 31.0), (1.0, 8.0)),
    "converter_slip": ((115.0, 290.0), (5.0, 70.0)),
    "bus_resistance": ((58.0, 62.0), (117.0, 123.0)),
}
"""Values that a check's limit calls yes, and that it calls no."""


def visit(case: Case, desk: Desk) -> Sitting:
    """From the intake to the release or to the other cause.

    The shop reflashes some concerns at once and diagnoses the others first; diagnosis finds most causes
    that are not software, and where it finds none the update is tried.
    """
    rng, note = desk.rng, case.considered
    told = _before(case, desk)
    if case.family.key != "stop_start" and rng.random() < LEFT_UNDONE:
        return Sitting(tuple(told), case.opened_on, left=True)
    told.append(_event(case, case.opened_on, _authorization(case, rng)))
    at_once = note is not None and rng.random() < UPDATES[note.number].reflash_first
    finds = rng.random() < DIAGNOSIS_FINDS
    day = case.opened_on + timedelta(days=0 if at_once else rng.randrange(3))
    if note is None or (not at_once and not case.cures and finds):
        decided = Decided(case.concern, "keep_diagnosing", note.number if note else "")
        told.append(_event(case, case.opened_on, decided))
        return Sitting(tuple(told), day, cause_found=finds)
    reason = "customer insists" if at_once and rng.random() < 0.2 else ""
    told.append(_event(case, day, Decided(case.concern, "reflash", note.number, reason)))
    sitting = program(case, note, desk, day)
    return replace(sitting, events=(*told, *sitting.events))


def _event(case: Case, day: date, what: What) -> StoryEvent:
    return StoryEvent(day, case.technician, what)


def _before(case: Case, desk: Desk) -> list[StoryEvent]:
    day = case.opened_on
    told = [_event(case, day, Opened(case.concern, case.draft)), *_settle(case, desk)]
    return told + [_event(case, day, Found(case.concern, one)) for one in _findings(case, desk.rng)]


def _settle(case: Case, desk: Desk) -> list[StoryEvent]:
    """Gates that were looked at, and the look-up by VIN where an update was considered."""
    day = case.opened_on
    told = [
        _event(case, day, GateSettled(case.concern, gate, True))
        for gate in _GATES
        if desk.rng.random() < (0.8 if gate in ("battery", "codes_saved") else 0.55)
    ]
    days_ago = (desk.garage.today - day).days
    asked = LOOKED_UP_SINCE if days_ago <= ADVISED_DAYS else LOOKED_UP
    if case.considered and desk.rng.random() < asked:
        module = case.considered.steps[0].module
        newest = desk.garage.newest(case.car, module, day)
        told.append(StoryEvent(day, "lead", LookedUp(case.concern, LookUp(module, day, "lead", newest))))
    return told


def _findings(case: Case, rng: Random) -> list[Finding]:
    """Four to seven of the family's checks, as they truly come out; a few cannot be done."""
    checks = list(case.family.checks)
    done = set(rng.sample(checks, min(len(checks), rng.randint(4, 7))))
    found = []
    for key in checks:
        if key in done:
            result = FindingResult.YES if case.latent[key] else FindingResult.NO
            found.append(Finding(key, result, number=_measured(case, key, result)))
        elif rng.random() < 0.06:
            found.append(Finding(key, rng.choice((FindingResult.INCONCLUSIVE, FindingResult.NOT_DONE))))
    return found


def _measured(case: Case, key: str, result: FindingResult) -> float | None:
    """What the meter showed, of a check that a number decides: the same whenever the story is told."""
    spans = _METER.get(key)
    if spans is None:
        return None
    low, high = spans[result is FindingResult.NO]
    return round(low + (high - low) * (crc32(f"{case.concern} {key}".encode()) % 1000) / 1000, 2)


def _authorization(case: Case, rng: Random) -> Authorized:
    return Authorized(
        case.concern,
        rng.randrange(12_000, 40_000, 500),
        "customer",
        rng.choice(("by phone", "in person", "by text message")),
        rng.choice(("charge stands", "credited", "no charge")),
    )
