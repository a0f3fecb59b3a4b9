"""Values behind a label or in a column, by the form of each field."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal

from kb.errors import BadInput
from kb.intake.fields import read_odometer
from kb.intake.scan.found import Found, Seen
from kb.intake.scan.labels import Label
from kb.intake.scan.look_alikes import PRINTED, as_figures, doubtful_in_id
from kb.intake.text.calibration.words import is_id
from kb.intake.text.days import days_in

_IDS = {
    Label.CALIBRATION_ID: Seen.CALIBRATION_ID,
    Label.NEWEST_ID: Seen.NEWEST_ID,
    Label.HARDWARE_NUMBER: Seen.HARDWARE_NUMBER,
    Label.SOFTWARE_NUMBER: Seen.SOFTWARE_NUMBER,
}
_BEFORE = re.compile(
    r"(?:\s*(?:\(s\)|s\b|\((?:mi|miles|hex|v|volts?)\)|\[(?:mi|miles|hex|v|volts?)\]|[#\[(]?\d{1,2}[\])]?(?=\s*[:=]|\]|\)\s)|is|was|reads?|reading|of|at|<?/?>))*[\s:=#>\"'.\u2013\u2014|\[(,-]*",
    re.I,
)
_HEX = r"[0-9A-Fa-fOoIl]"
_CVN = re.compile(
    rf"(?:0[xX])?(?P<cvn>{_HEX}{{8}}"
    rf"|{_HEX}{{4}}[ -]{_HEX}{{4}}|{_HEX}{{2}}(?:[ -]{_HEX}{{2}}){{3}})(?![A-Za-z0-9])"
)
_BETWEEN = re.compile(r"[\s,;/|&+\"'\])(\[]*(?:and\s+)?(?:\d[.):]\s+)?")
_ODOMETER = re.compile(
    r"(?P<figures>[0-9OoIl]{1,3}(?:[, ][0-9OoIl]{3})+|[0-9OoIl]{1,7})(?P<rest>\.\d)?(?:\s*k\b)?"
    r"(?![A-Za-z0-9/]|[-.,]\d)?\s*(?P<unit>miles|mi\b|km|kilomet\w+)?",
    re.I,
)
_MILES = re.compile(
    r"(?:\bat|[,;(]|\bwith)\s*(?P<figures>\d{1,3}(?:,\d{3})+|\d{4,6})\s*(?:miles|mi)\b"
    r"(?!\s*(?:an? |per|ago|later|after|since|/))",
    re.I,
)
_A_VIN = re.compile(r"\bvin\b|vehicle identification", re.I)
_VOLTAGE = re.compile(r"(?P<volts>\d{1,2}[.,]\d{1,3}|\d{1,2})\s*(?P<unit>v(?:olts?|dc)?\b)?", re.I)
_LOWEST_VOLTS, _HIGHEST_VOLTS = Decimal(5), Decimal(33)
_LONGEST_ID = 24


def values_behind(label: Label, words: str, module: str) -> Iterator[Found]:
    """The values of a label at the beginning of the words behind it, or in a cell of its column; a label
    of anything else has none.
    """
    begin = _BEFORE.match(words)
    rest = words[begin.end() :] if begin else words
    if label is Label.CVN:
        yield from _cvns(rest, module)
    elif label is Label.ODOMETER:
        yield from _odometer(rest)
    elif label is Label.VOLTAGE:
        yield from _voltage(rest)
    elif label in _IDS:
        yield from _ids(_IDS[label], rest, module)


def _cvns(words: str, module: str) -> Iterator[Found]:
    for found in _in_a_row(_CVN, words):
        value = re.sub(r"[ -]", "", as_figures(found["cvn"]))
        yield Found(Seen.CVN, value, found[0], module)


def _odometer(words: str) -> Iterator[Found]:
    found = _ODOMETER.match(words)
    if not found or not any(sign.isdigit() for sign in found["figures"]) or days_in(words[:12]):
        return
    rest = words[found.end("unit" if found["unit"] else "figures") :]
    if re.match(r"[A-Za-jl-z]|[-/]\d", rest):
        return
    printed = found[0].strip()
    try:
        miles = read_odometer(printed if "k" in printed.lower() else as_figures(found["figures"]))
    except BadInput:
        return
    if miles:
        yield Found(Seen.ODOMETER, str(miles), printed)


def miles_beside_vin(line: str) -> Iterator[Found]:
    """Miles that a sentence says without a label, where its VIN stands in it too."""
    said = _MILES.search(line)
    if said and _A_VIN.search(line) and (miles := read_odometer(said["figures"])):
        yield Found(Seen.ODOMETER, str(miles), said["figures"])


def _voltage(words: str) -> Iterator[Found]:
    found = _VOLTAGE.match(words)
    if not found or not (found["unit"] or re.search(r"[.,]", found["volts"])):
        return
    volts = Decimal(found["volts"].replace(",", "."))
    if _LOWEST_VOLTS <= volts <= _HIGHEST_VOLTS and not re.match(r"\.?\d", words[found.end() :]):
        yield Found(Seen.VOLTAGE, str(volts), found[0].strip())


def _ids(field: Seen, words: str, module: str) -> Iterator[Found]:
    """One ID, or several in a row; the first word that is none ends them."""
    for found in _in_a_row(PRINTED, words):
        value = found[0]
        if not _is_number(field, value) or re.match(r"\s*(?:volts?|V|mi|miles)\b", words[found.end() :]):
            return
        yield Found(field, value, value, module, doubtful=doubtful_in_id(value))


def _in_a_row(form: re.Pattern[str], words: str) -> Iterator[re.Match[str]]:
    """What has the form at the beginning of the words, and each behind it ("A1B2, and C3D4")."""
    found = form.match(words)
    while found:
        yield found
        gap = _BETWEEN.match(words, found.end())
        found = form.match(words, gap.end()) if gap and gap[0] else None


def _is_number(field: Seen, value: str) -> bool:
    plain = value.upper()
    if len(value) > _LONGEST_ID or (value != plain and re.search(r"[a-z]{3}", value)):
        return False
    if field in (Seen.CALIBRATION_ID, Seen.NEWEST_ID):
        return is_id(plain)
    return is_id(plain) or re.fullmatch(r"\d{4,}|\d+(?:-\d+)+|\d+(?:\.\d+){1,3}", plain) is not None
