"""The modules whose software a paper changes, by the names that the trade has for short."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from kb.intake.text.calibration_ids import PrintedStep
from kb.intake.text.doing import is_against
from kb.intake.text.paper.headings import Part
from kb.intake.text.paper.layout import Paper
from kb.intake.text.proposal import Field, Proposal
from kb.vehicle.modules import modules_named
from kb.vehicle.short_module_names import short_name

_NO_MODULE = (Part.PAPERWORK, Part.CAUSE, Part.AGAINST)
_IN_BRACKETS = re.compile(r"(?:\s+(?:control\s+)?(?:unit|module|ECU))?\s*\(([A-Z][A-Z0-9]{1,5})\)")
"""A short name behind the name: "display audio unit (DAU)"."""
_LONGEST_SHORT = 6
_DECLARED = re.compile(
    r"\b(?:module|unit|controller|computer|ECU|radar|charger|box)\s*\((?P<short>[A-Z][A-Z0-9]{1,5})\)",
    re.IGNORECASE,
)
_OF_SOFTWARE = re.compile(
    r"\b(?:(?:re-?)?(?:program|flash)\w*|updat\w+|software|calibrations?)\b", re.IGNORECASE
)


def modules_told(paper: Paper, steps: Sequence[PrintedStep], of_remedy: str) -> Iterator[Proposal]:
    """The modules of the steps, of a heading of modules and of the remedy, each as its shortest name in
    capitals that the paper prints.
    """
    named = list(modules_named(paper.flat))
    headed = [m for b, _, m in named if paper.part_at(b).part is Part.MODULE]
    by_step = {one.module: number for number, one in reversed(list(enumerate(steps, 1))) if one.module}
    wanted = dict.fromkeys((*by_step, *headed, *([] if by_step or headed else [of_remedy])))
    found = list(_in_table(paper, named, wanted, by_step))
    yield from found or (Proposal(Field.MODULE, short, *place) for short, place in _declared(paper))


def _in_table(
    paper: Paper, named: Sequence[tuple[int, int, str]], wanted: Iterable[str], by_step: Mapping[str, int]
) -> Iterator[Proposal]:
    for module in wanted:
        places = [(b, e) for b, e, one in named if one == module]
        if places:
            begins, ends = min(places, key=lambda place: _by_shortness(paper.text, *place))
            beside = _IN_BRACKETS.match(paper.text, ends)
            value = beside[1] if beside else short_name(paper.text[begins:ends])
            yield Proposal(Field.MODULE, value, begins, ends, step=by_step.get(module, 0))


def _declared(paper: Paper) -> Iterator[tuple[str, tuple[int, int]]]:
    """The short names that a paper gives its modules where it tells that their software changes."""
    declared = {one["short"]: one.span() for one in reversed(list(_DECLARED.finditer(paper.flat)))}
    told = " ".join(
        one.text
        for one in paper.sentences
        if declared
        and one.part not in _NO_MODULE
        and _OF_SOFTWARE.search(one.text)
        and not is_against(one.text)
    )
    for short, place in declared.items():
        if short.isupper() and re.search(rf"\b{short}\b", told):
            yield short, place


def _by_shortness(text: str, begins: int, ends: int) -> tuple[bool, bool, int]:
    """Short names first, then those with one behind them, then the first."""
    name = text[begins:ends]
    is_short = name.isupper() and len(name) <= _LONGEST_SHORT and " " not in name
    return not is_short, _IN_BRACKETS.match(text, ends) is None, begins
