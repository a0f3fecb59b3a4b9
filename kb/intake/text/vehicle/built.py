"""Build dates and engines that a paper narrows its vehicles by."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from kb.intake.places import overlaps
from kb.intake.text.days import PrintedDay
from kb.intake.text.paper.headings import Part
from kb.intake.text.paper.layout import Paper
from kb.intake.text.proposal import Field, Proposal
from kb.intake.text.vehicle.names import Named

_BUILT = re.compile(
    r"\b(?:produced|manufactured|built|assembled|production|build|manufactur\w+|assembly)\b(?:\s+\w+){0,6}?[\s:(]*"
    r"(?:\b(?P<end>before|prior\s+to|on\s+or\s+before|up\s+to|until|through|thru|ending|no\s+later\s+than|to)"
    r"|\b(?P<start>after|on\s+or\s+after|from|between|starting|beginning|since|as\s+of|on)|dates?|range|period)?[\s:(]*$",
    re.IGNORECASE,
)
_TO = re.compile(
    r"\s*,?\s*(?:-|\u2010|\u2011|\u2012|\u2013|\u2014|~|to|through|thru|and|until|up\s+to|\s)\s*(?:on\s+|about\s+)?",
    re.IGNORECASE,
)
_LABEL_END = re.compile(r"\b(?:before|prior\s+to|up\s+to|until|through|thru|to)\s*$", re.IGNORECASE)
_LOOK_BACK = 90

_LITERS = r"(?<![\w.])\d\.\d\s?-?\s?(?:L\b|[Ll]iters?\b|[Ll]itres?\b|T\b|l\b)"
_MORE = (
    r"(?:[\s/-]+(?:\(?(?:[Tt]win[\s-])?[Tt]urbo(?:charged)?|TURBO|(?:T-?)?GDI|T-GDi|GDi|MPI|MPi|DOHC|SOHC|[Dd]iesel|[Hh]ybrid|HEV|PHEV"
    r"|V\d{1,2}|I\d|L\d|H\d|W12|[Ii]nline[\s-]\d|\d-?cyl(?:inder)?s?|DI|EcoDiesel|supercharged|gasoline|gas)\b\)?)"
)
_NAMED = r"(?:(?:Theta|Lambda|Gamma|Nu|Kappa|Tau|Smartstream|SKYACTIV-?[GDX]?)\s+(?:II+\s+|[A-Z]?\d?\s+)?)?"
_ENGINE = re.compile(
    rf"{_NAMED}{_LITERS}{_MORE}{{0,4}}|\b[VI](?:4|6|8|10|12)(?=\s+engines?\b)|{_NAMED.rstrip('?')}(?=engines?\b)"
)
_ENGINE_NEAR = re.compile(r"(?:[\w/-]+\s+){0,3}engines?\b|\s*\)?\s*vehicles?\b", re.IGNORECASE)
_NO_ENGINE = re.compile(r"\s*(?:of|oil|coolant|fluid|quarts?|\(\d)", re.IGNORECASE)
_BARE = re.compile(
    r"(?<![\w.$-])(?:[1-9]\.\d)"
    r"(?!\d|\.\d|\s?(?:V|volts?|%|mm|hours?|hrs?|HR|miles|in\b|psi|A\b|ohm|inch|seconds?|minutes?)\b)"
    r"(?:[ -]?(?:(?i:turbo(?:charged)?|diesel|hybrid|supercharged|twin[ -]turbo|naturally aspirated)"
    r"|T\b|TD\b|V[68]|GDI|TDI))*"
    r"|(?<=engine code )[A-Z0-9]{3,8}\b"
    r"|(?<=engine )(?=[A-Z]*\d)[A-Z0-9]{3,8}(?:-[A-Z0-9]+)?\b(?=[\s,;.)])"
    r"|\b(?=[A-Z]+\d|\d+[A-Z])[A-Z0-9]{2,7}(?:-[A-Z0-9]{1,5})?(?= engines?\b)"
)
"""Liters without their unit, and engines by their code: by a heading, a model, a "with" or an "engine"."""
_CODE = re.compile(r"(?<![\w.])(?=[\w-]*[A-Z])(?=[\w-]*\d|[A-Z]{3})[A-Z0-9][A-Z0-9-]{1,9}(?![\w.])")
_BARE_NEAR = re.compile(r"(?i:\b(?:with|w/)\s+(?:(?:the|a|an)\s+)?|\bengine(?:\s+code)?:?\s+)\Z")
_OF_VEHICLES = frozenset((Part.VEHICLES, Part.MODEL, Part.ENGINE, Part.TITLE, Part.YEARS))


def built_in(paper: Paper, days: Sequence[PrintedDay]) -> Iterator[Proposal]:
    """The first and the last build dates that a paper names."""
    at = 0
    while at < len(days):
        one = days[at]
        two = days[at + 1] if at + 1 < len(days) else None
        cue = _BUILT.search(paper.flat, max(0, one.begins - _LOOK_BACK), one.begins)
        under = paper.part_at(one.begins).part is Part.BUILT
        at += 1
        if cue is None and not under:
            continue
        if two is not None and _TO.fullmatch(paper.flat, one.ends, two.begins):
            yield _day(Field.BUILT_FROM, one, one.first.isoformat())
            yield _day(Field.BUILT_TO, two, two.last.isoformat())
            at += 1
        elif (cue and cue["end"]) or (
            under and _LABEL_END.search(paper.flat, max(0, one.begins - 20), one.begins)
        ):
            yield _day(Field.BUILT_TO, one, one.last.isoformat())
        elif (cue and cue["start"]) or under:
            yield _day(Field.BUILT_FROM, one, one.first.isoformat())


def engines_in(paper: Paper, named: Sequence[Named]) -> Iterator[Proposal]:
    """The engines that a paper names as its vehicles'."""
    measured = list(_measured_engines(paper))
    yield from measured
    taken = [(one.begins, one.ends) for one in measured]
    for one in _bare_engines(paper, named):
        if not overlaps(one.begins, one.ends, taken):
            yield one


def _measured_engines(paper: Paper) -> Iterator[Proposal]:
    flat = paper.flat
    for found in _ENGINE.finditer(flat):
        part = paper.part_at(found.start()).part
        near = _ENGINE_NEAR.match(flat[found.end() :][:50].lstrip(" )-")) or re.search(_MORE, found[0])
        if (part in _OF_VEHICLES or near) and not _NO_ENGINE.match(flat, found.end()) and found[0].strip():
            ends = found.start() + len(found[0].rstrip())
            value = " ".join(found[0].replace("(", " ").replace(")", " ").split())
            yield Proposal(Field.ENGINE, value, found.start(), ends)


def _under_headings(paper: Paper) -> Iterator[re.Match[str]]:
    for part in paper.of(Part.ENGINE):
        yield from _CODE.finditer(paper.flat, part.begins, part.ends)


def _bare_engines(paper: Paper, named: Sequence[Named]) -> Iterator[Proposal]:
    """Engines without a unit, where the words around say that they are some."""
    flat, ends_of_models = paper.flat, {one.ends for one in named if one.is_model}
    for found in (*_BARE.finditer(flat), *_under_headings(paper)):
        begins = found.start()
        headed = paper.part_at(begins).part is Part.ENGINE
        behind = any(begins - blanks in ends_of_models for blanks in (1, 2))
        told = _BARE_NEAR.search(flat, max(0, begins - 24), begins) or _ENGINE_NEAR.match(
            flat, found.end() + 1
        )
        plain = re.search(r"\d.*(?i:turbo|diesel|hybrid|supercharged|V[68]|GDI|TDI)\Z", found[0]) is not None
        if headed or behind or told or plain:
            yield Proposal(Field.ENGINE, " ".join(found[0].split()), begins, found.end())


def _day(field: Field, one: PrintedDay, value: str) -> Proposal:
    return Proposal(field, value, one.begins, one.ends)
