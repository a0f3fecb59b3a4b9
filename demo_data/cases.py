"""One concern before anybody touches it: the vehicle, the true cause, the words, the codes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from random import Random

from demo_data import words
from demo_data.cars import Car, Garage, covers
from demo_data.families import Family
from demo_data.makes import Model, models
from demo_data.truth import CHECKS, DUPLICATED, UPDATES
from kb.nouns.concerns import CodesScanned, CodeStatus, ConcernDraft, Duplicated, NumberIs, ReportedCode
from kb.nouns.notes import NoteDraft
from kb.nouns.vehicles import Vehicle

INTERMITTENT = 0.06
_BEFORE = (
    "battery replaced",
    "repair at another shop",
    "jump start",
    "rear-end collision",
    "flooded parking lot",
    "remote start fitted",
)
_STATUSES = (CodeStatus.CURRENT, CodeStatus.PENDING, CodeStatus.HISTORY)
_STARTED = ("last week", "2 weeks ago", "about a month ago", "since winter", "comes and goes since summer")


@dataclass(frozen=True, slots=True)
class Case:
    """A concern with everything true about it. `latent` is what each attached check would say if done."""

    concern: str
    draft: ConcernDraft
    opened_on: date
    technician: str
    car: Car
    family: Family
    considered: NoteDraft | None
    cures: bool
    cause: str
    latent: Mapping[str, bool]
    duplicated: Duplicated

    @property
    def opened_number(self) -> str:
        return self.considered.number if self.considered else ""


@dataclass(frozen=True, slots=True)
class Intake:
    """Where and when a concern comes in. `known` is the vehicle as its repair order has it."""

    ro_number: str
    line: str
    day: date
    technician: str
    car: Car
    known: Vehicle


def model_for(family: Family, rng: Random) -> Model:
    fitting = [one for one in models() if family.make in ("", one.make) and family.model in ("", one.name)]
    return rng.choices(fitting, [one.share for one in fitting])[0]


def published(family: Family, notes: Mapping[str, NoteDraft], day: date) -> list[NoteDraft]:
    """The family's updates that were out by that day, the best first."""
    known = [notes[number] for number in family.updates]
    return [note for note in known if note.published_on is not None and note.published_on <= day]


def draw_case(family: Family, intake: Intake, updates: list[NoteDraft], garage: Garage) -> Case:
    """Settle the truth of a concern, then write down what the shop sees of it."""
    rng, car = garage.rng, intake.car
    considered = _candidate(car, updates, garage, intake.day)
    days_ago = (garage.today - intake.day).days
    cures = considered is not None and rng.random() < UPDATES[considered.number].cures_on(days_ago)
    latent = _latent(family, cures, rng)
    cause = "" if cures else _other_cause(family, latent, rng)
    duplicated = Duplicated(rng.choices(list(DUPLICATED), list(DUPLICATED.values()))[0])
    draft = _write_down(family, intake, garage, cures, latent, duplicated)
    return Case(
        concern=f"{intake.ro_number}-{intake.line}",
        draft=draft,
        opened_on=intake.day,
        technician=intake.technician,
        car=car,
        family=family,
        considered=considered,
        cures=cures,
        cause=cause,
        latent=latent,
        duplicated=duplicated,
    )


def _candidate(car: Car, updates: list[NoteDraft], garage: Garage, day: date) -> NoteDraft | None:
    """The update that the shop considers: it covers the vehicle and its module still has an old ID."""
    for note in updates:
        if covers(note, car.vehicle):
            garage.carry(car, note, day)
            first = note.steps[0]
            return note if car.calibrations[first.module] in first.old_ids else None
    return None


def _latent(family: Family, cures: bool, rng: Random) -> dict[str, bool]:
    return {
        key: rng.random() < (CHECKS[key].yes_if_cured if cures else CHECKS[key].yes_if_not)
        for key in family.checks
    }


def _other_cause(family: Family, latent: Mapping[str, bool], rng: Random) -> str:
    """What else it is: likelier what a yes points to, and rarely what a no speaks against."""
    weights = [
        cause.weight * (1.0 if not cause.shown_by else 4.0 if latent.get(cause.shown_by) else 0.15)
        for cause in family.causes
    ]
    return rng.choices(family.causes, weights)[0].found


def _write_down(
    family: Family,
    intake: Intake,
    garage: Garage,
    cures: bool,
    latent: Mapping[str, bool],
    duplicated: Duplicated,
) -> ConcernDraft:
    rng = garage.rng
    codes, scanned = _codes(family, next(iter(intake.car.calibrations), ""), cures, latent, rng)
    intermittent = rng.random() < INTERMITTENT
    conditions = tuple(one for one in family.conditions if rng.random() < 0.75)
    return ConcernDraft(
        ro_number=intake.ro_number,
        line=intake.line,
        complaint=words.complaint(family, cures, rng),
        technician_words=words.technician_words(family, duplicated is Duplicated.YES, rng),
        vehicle=intake.known,
        odometer=intake.car.odometer(intake.day) if rng.random() < 0.96 else None,
        codes=codes,
        codes_scanned=scanned,
        calibrations=garage.readings(intake.car),
        conditions=conditions,
        frequency=rng.choice(("every drive", "daily", "3-4 times a week", "weekly", "")),
        usual_gap_days=rng.choice((30, 40, 60)) if intermittent else None,
        started=rng.choice(_STARTED),
        just_before=rng.choice(_BEFORE) if latent.get("began_after_event") else "",
        phone=f"555-01{rng.randrange(100):02d}" if rng.random() < 0.7 else "",
        opened_on=intake.day,
        same_number=NumberIs.NOT_ASKED if intake.line == "A" else NumberIs.THIS_VEHICLE,
    )


def _codes(
    family: Family, module: str, cures: bool, latent: Mapping[str, bool], rng: Random
) -> tuple[tuple[ReportedCode, ...], CodesScanned]:
    """Codes agree with the check of codes that the bulletin does not name."""
    draw = rng.random()
    if draw < 0.05:
        return (), CodesScanned.NOT_SCANNED
    if draw < 0.09:
        return (), CodesScanned.CLEARED_BEFORE
    share = family.code_chance if cures else family.code_chance * 0.6
    named = [
        ReportedCode(code, module, rng.choices(_STATUSES, (6, 2, 2))[0])
        for code in family.codes
        if rng.random() < share
    ]
    if latent.get("unnamed_code") and family.stray_codes:
        named.append(ReportedCode(rng.choice(family.stray_codes), status=CodeStatus.CURRENT))
    return tuple(named), CodesScanned.STORED if named else CodesScanned.NONE_STORED
