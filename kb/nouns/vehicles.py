"""A vehicle, what a note is for, and the calibrations of a module."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, fields, replace
from datetime import date, datetime
from enum import StrEnum

from kb.nouns.model_years import format_years

_VERSION = re.compile(r"[0-9]+(?:[.,][0-9]+)+")
_ASCII_SIGNS = {sign: None for sign in range(128) if not chr(sign).isalnum()}


def fold_id(text: str) -> str:
    """A printed number, calibration ID or module for comparing: capitals, letters and figures alone.

    Blanks, points, strokes and hyphens of every kind are how it is printed, not what it is: "Vell-22",
    "VELL 22" and "Vell–22" are one, and so are letters in full width. A version in figures alone
    keeps its points (1.12 is not 11.2), and signs alone stay as they are.
    """
    if _VERSION.fullmatch(text.strip()):
        return text.strip()
    if text.isascii():
        kept = text.upper().translate(_ASCII_SIGNS)
    else:
        plain = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).upper())  # UAX 15
        kept = "".join(one for one in plain if one.isalnum())
    return kept or "".join(text.split())


class Applies(StrEnum):
    """Whether a note is for a vehicle; `cannot_tell` where a field the note needs is not known."""

    YES = "yes"
    NO = "no"
    CANNOT_TELL = "cannot_tell"


class CalibrationSource(StrEnum):
    """How a calibration ID came to us. One that was typed, or that stands in our records alone, must be
    confirmed before it can be newest.
    """

    READ = "read"
    PHOTO = "photo"
    TYPED = "typed"
    LABEL = "label"
    RECORDS = "records"


class Moment(StrEnum):
    """When in a visit's work something was read; unknown where nobody said."""

    BEFORE = "before"
    AFTER = "after"
    OTHER = "other"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Vehicle:
    """What is known of a vehicle. Empty text or None means not known."""

    make: str = ""
    model: str = ""
    year: int | None = None
    engine: str = ""
    built_on: date | None = None
    vin: str = ""

    @property
    def name(self) -> str:
        """Such as "2016 Tarn Vale 2.0 T"; what is not known is left out."""
        return " ".join(str(one) for one in (self.year, self.make, self.model, self.engine) if one)

    def or_else(self, other: Vehicle) -> Vehicle:
        """What is known here, and from the other what is not: a known field stands."""
        return Vehicle(*(getattr(self, one.name) or getattr(other, one.name) for one in fields(self)))


@dataclass(frozen=True, slots=True)
class CoverageLine:
    """One line of what a note is for; an empty field asks nothing.

    `years` are inclusive model-year ranges, so holes can be said: ((2016, 2017), (2019, 2020)).
    """

    make: str
    model: str = ""
    years: tuple[tuple[int, int], ...] = ()
    engine: str = ""
    built_from: date | None = None
    built_to: date | None = None
    vin_prefix: str = ""

    @property
    def years_said(self) -> str:
        """Such as "2014-2016, 2018"."""
        return format_years(self.years)

    @property
    def said(self) -> str:
        """To be read, such as "2014-2016, 2018 Tarn Vale, 2.0 T, built from 2016-02-01, VIN 1XX"."""
        ends = (("from", self.built_from), ("to", self.built_to))
        built = " ".join(f"{word} {day}" for word, day in ends if day)
        name = " ".join(part for part in (self.years_said, self.make, self.model) if part)
        vin = f"VIN {self.vin_prefix}" if self.vin_prefix else ""
        return ", ".join(filter(None, (name, self.engine, f"built {built}" if built else "", vin)))


Coverage = tuple[CoverageLine, ...]


@dataclass(frozen=True, slots=True)
class CalibrationStep:
    """One step of an update: any of the old IDs of a module becomes the new one."""

    module: str
    old_ids: tuple[str, ...]
    new_id: str


@dataclass(frozen=True, slots=True)
class CalibrationId:
    """One calibration ID of a module with its CVN."""

    calibration_id: str
    cvn: str = ""


@dataclass(frozen=True, slots=True)
class CalibrationReading:
    """The numbers of one module as read at one time, where they came from and, once on file, when.

    `more` are further calibration IDs of a module that holds several, in the order in which it shows them,
    `event_id` the programming event that it was read after.
    """

    module: str
    calibration_id: str
    source: CalibrationSource
    confirmed: bool = False
    cvn: str = ""
    hardware_number: str = ""
    software_number: str = ""
    read_at: datetime | None = None
    more: tuple[CalibrationId, ...] = ()
    moment: Moment = Moment.UNKNOWN
    event_id: int | None = None
    by: str = ""

    @property
    def ids(self) -> tuple[CalibrationId, ...]:
        """Every ID that the module showed, with its CVN."""
        return (CalibrationId(self.calibration_id, self.cvn), *self.more)

    def speaking_of(self, wanted: Iterable[str]) -> CalibrationReading:
        """The same with the first of its IDs that is wanted in front; as it is where none is."""
        asked, ids = {fold_id(one) for one in wanted}, self.ids
        first = next((one for one in ids if fold_id(one.calibration_id) in asked), ids[0])
        others = tuple(one for one in ids if one is not first)
        return replace(self, calibration_id=first.calibration_id, cvn=first.cvn, more=others)

    @property
    def waits_to_be_confirmed(self) -> bool:
        """A typed ID may be mistyped, and one of our records gone since: nobody may say that nothing is newer
        until it is confirmed.
        """
        return self.source in (CalibrationSource.TYPED, CalibrationSource.RECORDS) and not self.confirmed


@dataclass(frozen=True, slots=True)
class LookUp:
    """What the manufacturer's look-up by VIN said: the newest ID, or that nothing is newer."""

    module: str
    looked_up_on: date
    by: str
    newest_id: str = ""
    nothing_newer: bool = False
