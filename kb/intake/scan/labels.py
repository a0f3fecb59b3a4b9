"""What scan reports, labels and screens call what they print: the infotypes of SAE J1979 ("Calibration ID",
"CVN") and words of the trade. Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from kb.vehicle.modules import module_called, modules_named


class Label(StrEnum):
    """What a label or the head of a column says of the words behind or below it."""

    VIN = "vin"
    CODE = "code"
    STATUS = "status"
    MODULE = "module"
    NEWEST_ID = "newest_id"
    CALIBRATION_ID = "calibration_id"
    CVN = "cvn"
    HARDWARE_NUMBER = "hardware_number"
    SOFTWARE_NUMBER = "software_number"
    ODOMETER = "odometer"
    VOLTAGE = "voltage"
    FAILURE_TYPE = "failure_type"
    OTHER = "other"


_S = r"[\s_./-]*"
_NUMBER = (
    rf"(?:{_S}(?:part{_S})?(?:numbers?|nums?\b|nos?\b\.?|p/?n\b|ids?\b|#|ident\w*|version|ver\b\.?|level|code"
    r"|reference|ref\b\.?))"
)


_ENDS = r"(?=\s*(?:[:=|\"\t]|$|\s{2}|-\s))"
"""Behind a word that labels only where nothing else of a sentence follows."""
_CALIBRATION = rf"(?:calibration|calib\b\.?|cal\b\.?)(?:{_S}(?:file|part|software|set))?"
_SAID: dict[Label, str] = {
    Label.NEWEST_ID: (
        rf"(?:newest|latest|new|available|offered|updated?|replacement){_S}"
        rf"(?:(?:available|released){_S})?(?:{_CALIBRATION}(?!{_S}ver[ifs]){_NUMBER}?s?|cal{_S}[i1l]ds?\b|ids?\b)"
    ),
    Label.CVN: (
        rf"cvns?\b|(?:calibration|cal\b\.?){_S}ver\w*(?:{_S}(?:numbers?|nos?\b\.?|nums?\b|codes?))?"
        rf"|verification{_S}(?:numbers?|no\b\.?)"
    ),
    Label.CALIBRATION_ID: (
        rf"(?:(?:current|installed|present){_S})?"
        rf"(?:cal{_S}[i1l]ds?\b|cids?\b|{_CALIBRATION}{_NUMBER}?s?|ids?{_S}in{_S}(?:the{_S})?(?:vehicle|module)\b)"
        rf"|(?:current|installed){_S}ids?\b"
    ),
    Label.HARDWARE_NUMBER: (
        rf"part{_S}(?:number|no)\b\.?\s*\((?:hw|hardware)\)|"
        rf"(?:ecu{_S})?(?:hardware|hw\b|h/w\b){_NUMBER}*"
    ),
    Label.SOFTWARE_NUMBER: (
        rf"part{_S}(?:number|no)\b\.?\s*\((?:sw|software)\)|"
        rf"(?:ecu{_S})?(?:software|sw\b|s/w\b|firmware){_NUMBER}*"
    ),
    Label.ODOMETER: (
        rf"(?:odometer|mileage|odo\b\.?)(?:{_S}(?:reading|in|at{_S}scan|value|now))?|miles\b(?=\s*[:=|])"
        rf"|vehicle{_S}(?:miles|distance)\b"
    ),
    Label.VOLTAGE: (
        r"(?:battery|batt\b\.?|system|supply|charging|ecu|module|control module|ignition|power supply)"
        rf"{_S}(?:(?:power|supply|system|positive){_S})?(?:voltage|volts|volt\b|v\b(?=\s*[:=]))"
        r"|(?<![\w] )(?<![\w])(?:voltage|vbatt?|vpwr|b\+)(?!\w)"
        r"|battery(?=(?:\s+(?:was|is|at|reads?|measured|tested))*[\s:=|\"]*\d{2}(?:\.\d+)?\s*v)"
    ),
    Label.FAILURE_TYPE: rf"ftb\b|failure{_S}type(?:{_S}byte)?",
    Label.STATUS: r"(?:code\s+|dtc\s+)?(?:status|state)\b",
    Label.CODE: rf"(?:trouble{_S}|fault{_S}|dtc{_S})codes?\b|dtcs?\b|codes?\b(?!\s+(?:read|clear|set|scan))",
    Label.MODULE: (
        rf"(?:control{_S})?modules?(?:{_S}name)?\b{_ENDS}|ecus?(?:{_S}name)?\b{_ENDS}"
        rf"|(?:(?:control{_S})?unit|system|controller|computer)\b{_ENDS}"
    ),
    Label.VIN: rf"vin\b|v\.i\.n\.|vehicle{_S}identification(?:{_S}number)?",
    Label.OTHER: (
        r"description|meaning|text|address|date|time|name|protocol|result|notes?|remarks?|year|make|model"
        r"|engine|customer|ro\b|#|no\.?|bus|readiness|definition|fault"
        rf"|part{_S}(?:number|no\.?)|p/n|serial(?:{_S}(?:number|no\.?))?"
    ),
}
_SPOKEN = tuple(label for label in _SAID if label is not Label.OTHER)
_IN_LINE = re.compile(
    "|".join(rf"(?P<{one.value}>(?<![A-Za-z0-9])(?:{_SAID[one]}))" for one in _SPOKEN), re.I
)
_ALONE = re.compile("|".join(rf"(?P<{one.value}>{said})" for one, said in _SAID.items()), re.I)
_PLACES = {
    "engine": "ECM",
    "transmission": "TCM",
    "airbag": "SRS",
    "airbags": "SRS",
    "brakes": "ABS",
    "body": "BCM",
}
"""What a heading calls a module by its place."""
_LISTED_IN_SMALL = ("ipc", "ipcm", "icu", "bcu")
"""Short names that tools list, which are no words where somebody types them in small letters."""
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")
_TRIM = " \t:=\"'[](){}<>*#.,;|\u2013\u2014-"
_ADDRESS = r"\(?\b(?:0x)?7[0-9A-F]{2}\b\)?"
"""Where a module answers on the bus, as it is printed beside the name ("7E8")."""
_UNIT = re.compile(r"[\s(\[]*(?:\(|\[|in\s)?(?:miles|mi|volts?|v|hex)\.?[)\]]?\s*$", re.I)
_COUNT = re.compile(r"\s*[#\[(]?\d{1,2}[\])]?$")
_NOT_NOW = re.compile(
    r"\b(?:last|previous|next|since|old|new|latest|available|target|expected|required|min\w*|max\w*)\b[\w\s]{0,14}$",
    re.I,
)


@dataclass(frozen=True, slots=True)
class Labelled:
    """A label in a line, from and to; the words behind it run to the next label."""

    label: Label
    begins: int
    ends: int


def label_alone(words: str) -> Label | None:
    """What a cell or a line is the label of, where it says nothing else."""
    plain = _CAMEL.sub(" ", words.strip(_TRIM))
    plain = _COUNT.sub("", _UNIT.sub("", plain)).strip(_TRIM) if _IN_LINE.match(plain) else plain
    found = _ALONE.fullmatch(plain)
    return Label(found.lastgroup) if found and found.lastgroup else None


def labels_in(line: str) -> Iterator[Labelled]:
    """The labels of a line; one of another time ("last odometer", "new calibration") is the label of
    something else.
    """
    for found in _IN_LINE.finditer(line):
        label = Label(found.lastgroup or Label.OTHER)
        if _NOT_NOW.search(line[: found.start()]) and label not in (Label.CODE, Label.STATUS, Label.MODULE):
            label = Label.OTHER
        yield Labelled(label, found.start(), found.end())


def module_alone(words: str) -> str:
    """The module that the words name and nothing else ("Engine Control Module (ECM)", "[TCM]"), by its short
    name as printed; else empty.
    """
    plain = re.sub(
        rf"{_ADDRESS}|\b(?:module|system|ecu|name|control|unit|computer|electronic|codes?|dtcs?|scan|data|info\w*)\b",
        " ",
        words,
        flags=re.I,
    )
    plain = re.sub(r"^\W*#?\d+(?:\s*(?:of|/)\s*\d+)?\b[.):]?", " ", plain)
    plain = " ".join(plain.strip(_TRIM + "/~_+").split())
    if not plain or len(plain) > 60:
        return ""
    if plain.lower() in _PLACES:
        return _PLACES[plain.lower()]
    parts = re.split(r"\s+[-\u2013\u2014/]\s+", plain)
    if len(parts) == 2 and _say_the_same(module_alone(parts[0]), module_alone(parts[1])):
        return _short(words)
    named = [(begins, ends) for begins, ends, _ in modules_named(words)]
    covered = sum(sum(sign.isalpha() for sign in words[begins:ends]) for begins, ends in named)
    letters = sum(sign.isalpha() for sign in plain)
    if named and covered >= letters * 0.75:
        return _short(words)
    if plain.lower() in _LISTED_IN_SMALL:
        return plain.upper()
    return plain if re.fullmatch(r"[A-Z][A-Z0-9/-]{1,6}", plain) and module_called(plain) else ""


def _say_the_same(one: str, other: str) -> bool:
    return bool(one and other) and module_called(one) == module_called(other)


def _short(words: str) -> str:
    """The short form as printed, else what our own table calls it."""
    short = [
        word
        for word in re.findall(r"(?<![A-Za-z0-9])[A-Z][A-Z0-9]{1,5}(?![A-Za-z0-9])", words)
        if module_called(word)
    ]
    called = module_called(words) or next((name for _, _, name in modules_named(words)), "")
    return short[0] if short else called


def module_said(words: str) -> str:
    """The module behind the label "Module:": by its short name, else as printed."""
    plain = re.sub(rf"\s*{_ADDRESS}", "", words).strip(_TRIM + "/~_+")
    return (
        module_alone(plain)
        or (_short(plain) if re.search(r"\([A-Z0-9]{2,6}\)", plain) else "")
        or " ".join(plain.split())[:40]
    )
