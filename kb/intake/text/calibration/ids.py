"""Calibration IDs in a running text: which old one becomes which new one, and of which module.

"0447B, 0447C -> 0447D", "from 0447B to 0447D", "Old ID: 0447B  New ID: 0447D". Tables are read by
`tables`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from kb.intake.places import overlaps
from kb.intake.text.calibration.words import ARROW, ID, NEW, NOUN, OLD, ids_in, is_id
from kb.vehicle.modules import modules_in

_JOIN = r"(?:,\s*(?:or|and)\b|,|/|;|\b(?i:or|and|thru|through)\b)"
_LIST = rf"{ID}(?:\s*{_JOIN}\s*(?:{ID}|-[A-Z]\b(?!-))){{0,11}}"
_SAID = rf"(?:\s+{NOUN}|\s+(?:ID|IDs|P/N|part|number|no\.?|is|was))"
_BY_ARROW = re.compile(
    rf"(?P<old>{_LIST})\s*(?:{ARROW}|\b(?:becomes?|are\s+now|is\s+now|is\s+(?:replaced|superseded)\s+by)\b)\s*(?i:new[:\s]+)?(?P<new>{ID})"
)
_TAKES_PLACE = re.compile(
    rf"\b(?i:cal(?:ibration)?|software|version)\s+(?P<new>{ID})[^\n]{{0,60}}?\b(?i:takes?\s+the\s+place\s+of|replaces|supersedes)\s+(?P<old>{_LIST})"
)
_DOWN = re.compile(
    rf"(?P<old>(?:^[^\S\n]*(?i:{OLD})\b[^:=\n]{{0,30}}[:=][^\S\n]*{_LIST}[^\S\n]*\n){{1,12}})[^\S\n]*(?i:{NEW})\b[^:=\n]{{0,30}}[:=]"
    rf"[^\S\n]*(?P<new>{ID})",
    re.MULTILINE,
)
_FROM_TO = re.compile(
    rf"\bfrom\b(?:{_SAID}){{0,4}}[\s:#]+(?P<old>{_LIST})\s*,?\s+to\b(?:{_SAID}){{0,4}}[\s:#]+(?:new\s+)?(?P<new>{ID})",
)
_LABELED = re.compile(
    rf"\b(?i:{OLD})(?i:{_SAID}){{1,4}}\s*[:=#]?\s*(?P<old>{_LIST})[\s,;.|]+(?:[\w\s]{{0,24}}?\b)?(?i:{NEW})"
    rf"(?i:{_SAID}){{0,4}}\s*[:=#]?\s*(?P<new>{ID})"
)
_BARE = re.compile(
    rf"\b(?i:cal(?:ibration)?|ID|CID|software|flash(?:ed)?|reflash(?:ed)?|programmed|reprogrammed|updated)\b"
    rf"[^.;\n]{{0,40}}?(?P<old>{_LIST})\s+(?i:(?:and\s+go\s+)?to|now)\s+(?P<new>{ID})"
    r"(?!\s*,\s*(?i:update|re-?program|re-?flash|install))"
)
_MODULE_TO = re.compile(
    rf"^[^\S\n]*[A-Za-z][\w /()-]{{1,30}}:[^\S\n]*(?P<old>{_LIST})"
    rf"\s+to\s+(?=[\d.-]*[A-Z])(?P<new>{ID})[.,;]?[^\S\n]*$",
    re.MULTILINE,
)
_SPACED = r"[A-Z]{2,5} \d{1,2}\.\d{2}(?![\d.]\d|\w)"
_OLD_PROGRAM = re.compile(
    rf"\b(?i:{OLD}\s+(?:program|software|version))\s*:?\s+(?P<old>{_SPACED}(?:\s*(?:,|\bor\b|\band\b)\s*{_SPACED}){{0,7}})[.,;]?"
    rf"\s+(?i:{NEW}\s+(?:program|software|version))\s*:?\s+(?P<new>{_SPACED})"
)
"""A maker's letters and a version behind a space, where both are called programs: "AVG 1.16"."""
_FORMS = (_MODULE_TO, _DOWN, _BY_ARROW, _FROM_TO, _LABELED, _TAKES_PLACE, _BARE)
_LOOK_BACK = 120


@dataclass(frozen=True, slots=True)
class PrintedStep:
    """The places (begin, end) of the old IDs and of the new one; the module as the table of names calls it,
    empty where the text does not say it; and what the text prints elsewhere that all of them begin with.
    """

    old: tuple[tuple[int, int], ...]
    new: tuple[int, int]
    module: str = ""
    base: str = ""

    def ids(self, text: str) -> tuple[tuple[str, ...], str]:
        """The old IDs and the new one, each as the text prints it."""
        return tuple(self.base + text[begin:end] for begin, end in self.old), self.base + text[
            slice(*self.new)
        ]


def steps_in(text: str) -> Iterator[PrintedStep]:
    """Every change of a calibration ID that a sentence or a line tells, in the order of the text."""
    found: list[re.Match[str]] = []
    for form in _FORMS:
        for match in form.finditer(text):
            if is_id(match["new"]) and not overlaps(*match.span(), (one.span() for one in found)):
                found.append(match)
    for match in sorted(found, key=lambda one: one.start()):
        yield from _step(text, match, ids_in(match["old"]))
    for match in _OLD_PROGRAM.finditer(text):
        yield from _step(text, match, re.finditer(_SPACED, match["old"]))


def _step(text: str, match: re.Match[str], old_ids: Iterable[re.Match[str]]) -> Iterator[PrintedStep]:
    """The step that a form found, by the old IDs in its own list of them; none without any."""
    start = match.start("old")
    old = tuple((start + one.start(), start + one.end()) for one in old_ids)
    if old:
        yield PrintedStep(old, match.span("new"), module_before(text, match.start(), start))


def module_before(text: str, begin: int, end: int) -> str:
    """The module named last before a place, in its own sentence or line; empty for none."""
    since = max(0, begin - _LOOK_BACK)
    since = max(since, text.rfind("\n", since, begin) + 1, text.rfind(". ", since, begin) + 1)
    return named_last(text[since:end])


def named_last(text: str) -> str:
    """The module that a text names last; empty for none."""
    return ["", *(module for _, module in modules_in(text))][-1]
