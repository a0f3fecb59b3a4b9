"""What a paper calls itself."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from kb.intake.text.bulletin_numbers import bulletin_numbers_in
from kb.intake.text.paper.headings import Part, part_headed
from kb.intake.text.paper.layout import Paper
from kb.intake.text.paper.lines import BULLET, Line
from kb.intake.text.phrases import phrases
from kb.intake.text.proposal import Field, Proposal
from kb.intake.text.vehicle.names import Named
from kb.vehicle.families import fold

_OF_EVERY_PAPER = phrases("of_every_paper")
_MONTH = re.compile(r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\Z")
_OF_IT = re.compile(
    r"(?:safety\s+)?(?:recall|campaign|bulletin)\b(?:\s+campaign)?\s+(?:on|of|for|regarding)\b", re.IGNORECASE
)
_LONGEST_TITLE = 140
_LABEL = re.compile(r"(?:[A-Z][\w ]{2,24}):\s")
_TITLE_WITHIN, _LEAST_OF_TITLE, _BEHIND_NUMBER, _SHORT_TITLE = 14, 2, 10, 14
_NO_TITLE = re.compile(
    r"\s*(?:\(|(?:dear|an?\s|what\s|\w+\s+vehicles\s|description\s+of|on\s+certain|certain|to\s+all|attention|page|\[page|from:|sent:|concerns?\s|for\s|posted|this|the\s)\b)",
    re.IGNORECASE,
)
_A_WORD = re.compile(r"(?<![\w-])[^\W\d_]{4,}")
_OF_PAPER = re.compile(
    r"\bwill\s+be\b|\b(?:has|have)\s+been\b|\bis\s+(?:conduct|recall|issu|initiat|clos)ing\b|\b(?:mailed|posted)\b",
    re.IGNORECASE,
)
"""What is told of a paper or a recall: no name of one."""


def titles_in(paper: Paper, numbers: Sequence[Proposal], named: Sequence[Named]) -> Iterator[Proposal]:
    """What a paper calls itself: under a heading of subjects, behind its number, or in its first lines."""
    headed = [_trimmed(paper, one.begins, one.ends) for one in paper.of(Part.TITLE)]
    behind = (_trimmed(paper, one.ends, paper.line_at(one.ends).ends) for one in numbers)
    names: Sequence[Named | Proposal] = (*named, *numbers)
    told = (one for one in behind if one and _names_it(one.value) and not _only_names(paper, one, names))
    found = [one for one in headed if one] or [one for one in told if not _LABEL.match(one.value)]
    yield from (found or list(_first_lines(paper, names)))[:1]


def _trimmed(paper: Paper, begins: int, ends: int) -> Proposal | None:
    said = paper.flat[begins:ends]
    begins += len(said) - len(said.lstrip(" \n:;,.-\u2013\u2014)*"))
    ends = begins + len(paper.flat[begins:ends].rstrip(" \n:;,-*"))
    value = " ".join(paper.flat[begins:ends].split())
    return Proposal(Field.TITLE, value, begins, ends) if 8 <= len(value) <= _LONGEST_TITLE else None


def _names_it(value: str, most: int = _BEHIND_NUMBER) -> bool:
    """Whether the words behind a number are a name: no sentence, nothing but words of paper."""
    words = value.split()
    capitals = sum(word[:1].isupper() for word in words)
    name = capitals * 2 >= len(words) or (value[0].isupper() and len(words) <= most)
    return (
        2 <= len(words) <= 16
        and not value[0].islower()
        and name
        and not (value.endswith((".", "!", "?", ",")) or _is_generic(value) or _OF_IT.match(value))
        and _A_WORD.search(value) is not None
        and not (_NO_TITLE.match(value) or _OF_PAPER.search(value))
    )


def _is_generic(said: str) -> bool:
    """Whether nothing is left but what every paper is called, once its numbers are taken out."""
    for one in bulletin_numbers_in(said):
        said = said.replace(one.number, " ")
    words = re.findall(r"[^\W\d_]+", said.casefold())
    return all(len(word) == 1 or _OF_EVERY_PAPER.fullmatch(word) or _MONTH.match(word) for word in words)


def _first_lines(paper: Paper, named: Sequence[Named | Proposal]) -> Iterator[Proposal]:
    """Those of the first lines that are a name, and neither headings nor what every paper is called."""
    lines = [n for n, line in enumerate(paper.lines) if line.ends > line.begins][:_TITLE_WITHIN]
    for n in lines:
        line = paper.lines[n]
        said = paper.text[line.begins : line.ends].strip()
        if (
            n + 1 == len(paper.lines)
            or _is_heading(paper, line)
            or "|" in said
            or said.endswith(":")
            or BULLET.match(said)
        ):
            continue
        if part_headed(said.strip(" :*")):
            continue
        ends = line.ends
        if said.endswith((";", " AND", "&")) or (";" in said and said.isupper() and _is_upper(paper, n + 1)):
            ends = paper.lines[n + 1].ends
        found = _trimmed(paper, line.begins, ends)
        if found and _names_it(found.value, _SHORT_TITLE) and not _only_names(paper, found, named):
            yield found


def _is_upper(paper: Paper, n: int) -> bool:
    """Whether a line is printed in capitals."""
    return paper.text[paper.lines[n].begins : paper.lines[n].ends].isupper()


def _is_heading(paper: Paper, line: Line) -> bool:
    """Whether a line holds a heading: alone, or in front of what it heads."""
    part = paper.part_at(max(line.ends - 1, 0))
    if part.part is Part.NUMBER and part.begins <= line.begins:
        return any(map(str.isdigit, paper.text[line.begins : line.ends]))
    return bool(part.label) and (part.begins >= line.begins or part.part is not Part.PLAIN)


def _only_names(paper: Paper, found: Proposal, named: Sequence[Named | Proposal]) -> bool:
    """Whether little is left of a line but makes, models, numbers and years: it says for whom, not what."""
    said = list(paper.flat[found.begins : found.ends])
    for one in named:
        for at in range(max(one.begins, found.begins), min(one.ends, found.ends)):
            said[at - found.begins] = " "
    makes = {fold(one.name) for one in named if isinstance(one, Named)}
    said = [" " if fold(word) in makes else word for word in re.split(r"(\W+)", "".join(said))]
    rest = re.sub(
        r"[\d/\u2013-]+|\b(?i:MY|model|years?|and|all|engines?|vehicles?|with|certain)\b", " ", "".join(said)
    )
    return _is_generic(rest) or len(re.findall(r"[A-Za-z]{2,}", rest)) < _LEAST_OF_TITLE
