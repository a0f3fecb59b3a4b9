"""The modules whose software a paper changes, or whose own fault it tells, by the names that the trade has
for short. What is merely named (a tool, a machine of the maker's, a module that suffers) is none of them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise

from kb.intake.text.calibration.ids import PrintedStep
from kb.intake.text.doing import is_against
from kb.intake.text.paper.headings import Part
from kb.intake.text.paper.layout import Paper
from kb.intake.text.phrases import phrases
from kb.intake.text.proposal import Field, Proposal
from kb.vehicle.modules import modules_named
from kb.vehicle.short_module_names import short_name
from kb.words.defect import tells_remedy

Named = tuple[int, int, str]
"""Where a paper names a module, from and to, and which."""
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
_BY_ITS_SOFTWARE = re.compile(
    r"(?:\s*\([A-Z][A-Z0-9]{1,5}\))?\s+(?:\w+\s+)?(?:software|logic)\s+(?:may|might|can|could|that)\b",
    re.IGNORECASE,
)
"""What stands behind a module that the paper blames for what its software does."""
_FAULT_IN = re.compile(
    r"\b(?:short(?:\s+circuit)?|fire|leak\w*|contamination|error|fault)s?\s+(?:\w+\s+){0,3}?(?:in|inside|of|within)\s+(?:the\s+)?(?:\w+\s+){0,3}\(?$",
    re.IGNORECASE,
)
_JOINED = re.compile(r"\s*(?:,|and|&|/|,\s*and)\s*(?:the\s+)?")
_A_SYSTEM = re.compile(r"KSDS|knock sensor detection.*", re.IGNORECASE)
"""What runs on a module and is none itself."""
_AT_THE_MAKER = phrases("at_the_maker")


def modules_told(paper: Paper, steps: Sequence[PrintedStep], of_remedy: str) -> Iterator[Proposal]:
    """The modules of the steps, of a heading of modules, of the remedy and of faulty software, each as its
    shortest name in capitals that the paper prints.
    """
    named = [one for one in modules_named(paper.flat) if not _A_SYSTEM.fullmatch(paper.flat, *one[:2])]
    headed = [m for b, _, m in named if paper.part_at(b).part is Part.MODULE]
    by_step = {one.module: number for number, one in reversed(list(enumerate(steps, 1))) if one.module}
    wanted = dict.fromkeys((*by_step, *headed)) or dict.fromkeys(_concerned(paper, named, of_remedy))
    found = list(_in_table(paper, named, wanted, by_step))
    yield from found or (Proposal(Field.MODULE, short, *place) for short, place in _declared(paper))


def _concerned(paper: Paper, named: Sequence[Named], of_remedy: str) -> Iterator[str]:
    """The modules of the remedy and those at fault, where no list of modules says it."""
    yield of_remedy
    yield from _beside(paper, named, of_remedy) if of_remedy else _by_short(paper, named)
    yield from _blamed(paper, named)


def _beside(paper: Paper, named: Sequence[Named], module: str) -> Iterator[str]:
    """The modules named in one breath with it: "reprogram the IVI and AVM"."""
    for one, other in pairwise(named):
        if module in (one[2], other[2]) and _JOINED.fullmatch(paper.flat, one[1], other[0]):
            yield from (one[2], other[2])


def _is_in(text: str, word: str) -> bool:
    return re.search(rf"\b{re.escape(word)}\b", text) is not None


def _by_short(paper: Paper, named: Sequence[Named]) -> Iterator[str]:
    """The modules that a sentence on the work calls by the short name that the paper gave them."""
    shorts = [(found[1], one[2]) for one in named if (found := _IN_BRACKETS.match(paper.flat, one[1]))]
    work = [one.text for one in paper.sentences if shorts and tells_remedy(one.text)]
    return (module for short, module in shorts if any(_is_in(text, short) for text in work))


def _blamed(paper: Paper, named: Sequence[Named]) -> Iterator[str]:
    """The modules by whose software something may happen, or in which a fault is."""
    return (
        module
        for begins, ends, module in named
        if _BY_ITS_SOFTWARE.match(paper.flat, ends)
        or _FAULT_IN.search(paper.flat, max(0, begins - 60), begins)
    )


def _in_table(
    paper: Paper, named: Sequence[Named], wanted: Iterable[str], by_step: Mapping[str, int]
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
        and not (is_against(one.text) or _AT_THE_MAKER.search(one.text))
    )
    for short, place in declared.items():
        if short.isupper() and _is_in(told, short):
            yield short, place


def _by_shortness(text: str, begins: int, ends: int) -> tuple[bool, bool, int]:
    """Short names first, then those with one behind them, then the first."""
    name = text[begins:ends]
    is_short = name.isupper() and len(name) <= _LONGEST_SHORT and " " not in name
    return not is_short, _IN_BRACKETS.match(text, ends) is None, begins
