"""The voltages, temperatures and states of charge that programming must keep to, as a paper prints them."""

from __future__ import annotations

import re
from collections.abc import Iterator

from kb.intake.text.paper.headings import Part
from kb.intake.text.paper.layout import Paper, Sentence
from kb.intake.text.proposal import Field, Proposal
from kb.words.printed_windows import read_windows

_HELD = (
    re.compile(
        r"\b(?:set|held?|maintain\w*|keep|adjust\w*|regulated)\b[^.;]{0,60}?\b(?:to|at|of|around|about)\s+(?P<held>1\d(?:\.\d+)?\s?V(?:olts?|DC)?\b)"
        r"(?!\s*(?:to|-|\u2013|and|\+|\u00b1)\s*[\d+/])",
        re.IGNORECASE,
    ),
    re.compile(
        r"\b(?:state\s+of\s+charge|SOC)\b[^.;,\d]{0,40}(?P<held>(?:(?:at\s+least|above|over|between|minimum|min\.?|more\s+than)\s+)?"
        r"\d{2,3}\s?(?:%|percent)?(?:\s*(?:-|\u2013|to|and)\s*\d{2,3}\s?)?(?:%|percent)(?:\s+or\s+(?:more|higher|above))?)",
        re.IGNORECASE,
    ),
)
"""A single voltage that is held, and states of charge."""
_IN_AN_ID = re.compile(r"(?:\d{3,}-|[A-Z]\d*-?)\d+[A-Z]\Z")
_MEASURED = re.compile(
    r"\b(?:signal|sensor|reference|terminal\s+\d|pin\s+\w|feeds?|grounds?|fuel\s+pump|key-off|fell|falls)\b",
    re.IGNORECASE,
)
_NO_WINDOW = frozenset((Part.DAY, Part.NUMBER, Part.TITLE, Part.CALIBRATIONS, Part.BUILT))
_OF_CONCERN_SAID = re.compile(
    r"\b(?:soak|cold|hot|starts?|occurs?|happens?|may|fluid|coolant|oil|hesitat\w+|stall\w*|condition)\b",
    re.IGNORECASE,
)
_OF_WORK_PARTS = (Part.PRECAUTIONS, Part.RELEARNS)
_OF_CONCERN = (Part.CONDITIONS, Part.SYMPTOM, Part.CAUSE)


def windows_in(paper: Paper) -> Iterator[Proposal]:
    """Voltages, temperatures and states of charge that the work must keep to."""
    for one in paper.sentences:
        said = paper.flat[one.begins : one.ends]
        read = () if one.part in _NO_WINDOW else read_windows(said)
        places = [(window.start, window.end) for window in read if _of_the_work(one, window.unit)]
        places += [found.span("held") for form in _HELD for found in form.finditer(said)]
        last = -1
        for begins, ends in sorted(places):
            if begins >= last and not _IN_AN_ID.search(said[:ends]):
                last = ends
                yield _window(paper, one.begins + begins, one.begins + ends)


def _of_the_work(one: Sentence, unit: str) -> bool:
    """Whether a window is of programming, not of the concern or of what is measured to find its cause."""
    if one.part in (*_OF_WORK_PARTS, *_OF_CONCERN):
        return one.part in _OF_WORK_PARTS
    of_another = _MEASURED if unit in ("V", "mV") else _OF_CONCERN_SAID
    return not of_another.search(one.text)


def _window(paper: Paper, begins: int, ends: int) -> Proposal:
    said = paper.flat[begins:ends]
    begins += len(said) - len(said.lstrip())
    return Proposal(Field.WINDOW, " ".join(said.split()), begins, begins + len(said.strip()))
