"""Calibration IDs that sentences tell: "If the ECM calibration is A or B, update it to C", "before A,
after B", "A or earlier, update to C", "part number A or B. Reflash to C".

Every ID has the part (old or new) of the word that speaks of it last before it, in its own sentence; IDs that
a comma or an "or" joins are alike. Old ones and the new one after or before them are one step.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kb.intake.text.calibration.ids import PrintedStep, module_before
from kb.intake.text.calibration.words import ARROW, ID, NOUN, ids_in
from kb.intake.text.doing import is_against
from kb.intake.text.paper.headings import Part
from kb.intake.text.paper.layout import Paper
from kb.intake.text.phrases import phrases

_STOPS = re.compile(r"(?<=[\w)\"'][.;!?])\s+|\n+")
_OF_SOFTWARE = re.compile(rf"\b(?:{NOUN}|(?:re-?)?(?:program|flash)\w*|updat\w+|upgrad\w+)\b", re.IGNORECASE)
_PART_OF_MODULE = re.compile(r"\bp(?:art|/n)\b", re.IGNORECASE)
_ROLES = (
    ("other", phrases("id_of_other")),
    ("new", phrases("id_is_new")),
    ("old", phrases("id_is_old")),
    ("with", phrases("id_is_with")),
)
_WORK = phrases("id_work")
_OR_BEFORE = re.compile(
    r"[\s(,]*(?:(?:or|and)\s+(?:earlier|lower|older|below|prior|previous)|thru|through)\b", re.I
)
_OR_LATER = re.compile(r"[\s(,]*(?:or|and)\s+(?:later|higher|newer|above)\b", re.I)
_JOINS = re.compile(
    r"(?:\s*,\s*[A-Z]?\d{1,3}[A-Z]?\b)*\s*(?:,\s*(?:or|and)?|/|;|&|\bor\b|\band\b|\bthrough\b|\bthru\b)\s*",
    re.I,
)
_LEADS_ON = re.compile(
    rf"(?:(?:\s*,|\s*/|\s+or\b|\s+and\b)\s*{ID})*\s*{ARROW}\s*(?:go\s+to|continue|proceed|update|(?:re-?)?(?:flash|program))\b"
)
"""Behind IDs of which a list of cases says that the work goes on."""
_REACH, _APART, _MOST = 64, 420, 400
_NO_PLACE = frozenset((Part.DAY, Part.NUMBER, Part.REPLACES, Part.BUILT, Part.CODES, Part.EXACT))


@dataclass(frozen=True, slots=True)
class _Told:
    is_new: bool
    begins: int
    ends: int


def told_steps(paper: Paper) -> Iterator[PrintedStep]:
    """Every change of a calibration that the sentences of a paper tell, in its order."""
    old: list[_Told] = []
    new: list[_Told] = []
    for one in _told(paper):
        last = max((other.ends for other in (*old, *new)), default=one.begins)
        if any(_text(paper, one) == _text(paper, other) for other in new):
            continue
        listed = one.is_new and bool(new) and _JOINS.fullmatch(paper.flat, new[-1].ends, one.begins)
        whole = bool(new) and (one.is_new or (bool(old) and old[0].begins < new[0].begins))
        if not listed and (whole or one.begins - last > _APART):
            yield from _steps(paper, old, new)
            old, new = [], []
        (new if one.is_new else old).append(one)
    yield from _steps(paper, old, new)


def _steps(paper: Paper, old: Sequence[_Told], new: Sequence[_Told]) -> Iterator[PrintedStep]:
    """One step; of as many new IDs as old ones, each is the step of the old one in its place."""
    if 1 < len(new) == len(old):
        for one, other in zip(old, new, strict=True):
            yield from _step(paper, [one], other)
    else:
        for n, other in enumerate(new):
            yield from _step(paper, [] if n else old, other)


def _step(paper: Paper, old: Sequence[_Told], new: _Told) -> Iterator[PrintedStep]:
    kept = [one for one in old if _text(paper, one) != _text(paper, new)]
    first = min((*kept, new), key=lambda one: one.begins)
    module = module_before(paper.flat, first.begins, new.begins if kept else first.begins)
    yield PrintedStep(tuple((one.begins, one.ends) for one in kept), (new.begins, new.ends), module)


def _text(paper: Paper, one: _Told) -> str:
    return paper.flat[one.begins : one.ends]


def _told(paper: Paper) -> Iterator[_Told]:
    """The IDs whose part is told, in the order of the text."""
    flat, at, software_at = paper.flat, 0, -_APART
    for stop in (*(m.start() for m in _STOPS.finditer(flat)), len(flat)):
        said = flat[at:stop]
        if _OF_SOFTWARE.search(said):
            software_at = at
        near = at - software_at <= _APART and len(said) <= _MOST * 3
        if near and any(letter.isdigit() for letter in said) and not is_against(said):
            yield from _in_sentence(paper, at, said)
        at = stop


def _in_sentence(paper: Paper, at: int, said: str) -> Iterator[_Told]:
    spoken = bool(_OF_SOFTWARE.search(said) or _PART_OF_MODULE.search(said))
    role, since = "", 0
    for found in ids_in(said):
        part = paper.part_at(at + found.start()).part
        joined = role and _JOINS.fullmatch(said, since, found.start())
        if not joined:
            role = _role(said, since, found.start())
        since = found.end()
        if _OR_BEFORE.match(said, found.end()):
            role = "old"
        if not role and _LEADS_ON.match(said, found.end()):
            role = "old"
        told = role == "old" or (role == "new" and spoken)
        if told and part not in _NO_PLACE and not _OR_LATER.match(said, found.end()):
            spoken = True
            yield _Told(role == "new", at + found.start(), at + found.end())


def _role(said: str, since: int, begins: int) -> str:
    """What the words before an ID make of it, by the last of them; "with" by whether work is asked for."""
    ahead = said[max(since, begins - _REACH) : begins]
    last = [(found.end(), name) for name, form in _ROLES for found in form.finditer(ahead)]
    role = max(last, default=(0, ""))[1]
    if role == "with":
        return "new" if _WORK.search(said, 0, begins) else "old"
    return role
