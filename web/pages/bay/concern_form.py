"""The intake form: its taps, and what it reads as."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType

from kb.desk.context import Desk
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.number_for_now import is_for_now, number_for_now
from kb.nouns.concerns import CodesScanned, ConcernDraft, NumberIs, Overnight
from kb.nouns.vehicles import Vehicle
from web.forms import MILES, TypedForm
from web.pages.bay.seen import on_new_concern
from web.pages.bay.seen import rows as seen_rows
from web.vin_form import vehicle_typed
from web.words import vehicle as vehicle_words

_Begin = dict[str, str | tuple[str, ...]]

# What is asked by tapping; common practice, no source.
CHIPS: Mapping[str, tuple[tuple[str, str], ...]] = MappingProxyType(
    {
        "conditions": tuple(
            (word, word)
            for word in (
                "cold start",
                "warm engine",
                "hot restart",
                "idle",
                "light throttle",
                "full throttle",
                "uphill",
                "35–50 mph",
                "highway",
                "coming to a stop",
                "one gear",
                "after refueling",
                "wet weather",
                "A/C on",
                "after sitting overnight",
            )
        ),
        "frequency": (
            ("every time", "every time"),
            ("daily", "daily"),
            ("weekly", "weekly"),
            ("monthly", "monthly"),
            ("rarer", "rarer"),
            ("happened once", "happened once"),
        ),
        "just_before": tuple(
            (word, word)
            for word in (
                "nothing known",
                "other shop worked on it",
                "battery replaced",
                "jump start",
                "crash or water",
                "add-on fitted",
                "update over the air",
            )
        ),
        "overnight": (
            (Overnight.YES.value, "yes"),
            (Overnight.NO.value, "no, it leaves today"),
            (Overnight.NOT_ASKED.value, "not asked"),
        ),
        "codes_scanned": (
            (CodesScanned.NOT_SCANNED.value, "not scanned yet"),
            (CodesScanned.NONE_STORED.value, "none stored"),
            (CodesScanned.CLEARED_BEFORE.value, "cleared before it got here"),
        ),
    }
)
NOTHING_BEFORE = "nothing known"
_USUAL_GAP = {"weekly": 7, "monthly": 30, "rarer": 90}


def draft(desk: Desk, typed: TypedForm) -> ConcernDraft:
    """The form as a concern. Raises BadInput naming the field that cannot be read."""
    codes = re.split(r"[\s,;]+", typed.text("codes"))
    frequency = typed.text("frequency")
    before = [said for said in typed.all("just_before") if said != NOTHING_BEFORE]
    number, line = _ro_number(desk, typed)
    accepted = seen_rows.rows(typed, "accepted")
    return ConcernDraft(
        ro_number=number,
        line=line,
        complaint=typed.text("complaint"),
        technician_words=typed.text("technician_words"),
        vehicle=vehicle_typed(desk, typed),
        vin_confirmed=typed.ticked("vin_confirmed"),
        odometer=typed.whole("odometer", "odometer", MILES),
        codes=on_new_concern.as_reported(typed, [code for code in codes if code]),
        calibrations=seen_rows.calibrations(accepted),
        read=seen_rows.voltages(accepted),
        codes_scanned=typed.one_of("codes_scanned", CodesScanned, CodesScanned.NOT_SCANNED),
        conditions=typed.all("conditions"),
        frequency=frequency,
        usual_gap_days=typed.whole("usual_gap_days", "usual gap") or _USUAL_GAP.get(frequency),
        started=typed.text("started"),
        just_before=", ".join(before),
        overnight=typed.one_of("overnight", Overnight, Overnight.NOT_ASKED),
        phone=typed.text("phone"),
        same_number=_same_number(typed),
    )


def as_typed(view: ConcernFile) -> _Begin:
    """A saved concern as the form would have it."""
    car = view.vehicle
    known = {word for word, _ in CHIPS["conditions"]}
    return {
        "ro_number": "" if is_for_now(view.ro_number) else view.ref.removeprefix("RO "),
        "complaint": view.complaint,
        "technician_words": view.technician_words,
        "vin": car.vin,
        "make": car.make,
        "model": car.model,
        "year": str(car.year or ""),
        "engine": car.engine,
        "odometer": str(view.odometer or ""),
        "codes": " ".join(code.code for code in view.codes),
        "codes_scanned": view.codes_scanned.value,
        "conditions": tuple(view.conditions),
        "other_conditions": tuple(word for word in view.conditions if word not in known),
        "frequency": view.frequency,
        "usual_gap_days": str(view.usual_gap_days or ""),
        "started": view.started,
        "just_before": tuple(part.strip() for part in view.just_before.split(",") if part.strip()),
        "phone": view.phone,
        "overnight": view.overnight,
    }


def spoken(known: Vehicle) -> str:
    """A vehicle in a list of suggestions."""
    return f"{vehicle_words(known)} …{known.vin[-8:]}"


def _same_number(typed: TypedForm) -> NumberIs:
    """The answer, where it was given of the number that stands in the form now."""
    if typed.text("same_number_of") != typed.text("ro_number"):
        return NumberIs.NOT_ASKED
    return typed.one_of("same_number", NumberIs, NumberIs.NOT_ASKED)


def _ro_number(desk: Desk, typed: TypedForm) -> tuple[str, str]:
    """Such as "2087-B" is line B of RO 2087; without a line the next free one is taken."""
    if not typed.text("ro_number"):
        return number_for_now(desk.now.astimezone(desk.shop.zone)), ""
    number = re.sub(r"^RO\s*", "", typed.text("ro_number"), flags=re.IGNORECASE)
    with_line = re.fullmatch(r"(.+)-([A-Za-z])", number)
    return (with_line[1], with_line[2].upper()) if with_line else (number, "")
