"""The numbers that a paper goes by, those that it replaces, its title and the day it was published."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from kb.intake.text.bulletin_numbers import BulletinNumber, bulletin_numbers_in
from kb.intake.text.days import PrintedDay, days_in
from kb.intake.text.paper.headings import Part
from kb.intake.text.paper.layout import Paper
from kb.intake.text.paper.lines import Line
from kb.intake.text.proposal import Field, Proposal
from kb.intake.text.vehicle.names import Named
from kb.nouns.vehicles import fold_id
from kb.words.printed_numbers import RECALL

_REPLACES = re.compile(
    r"\b(?:supersed\w+|replac(?:es?|ing)|discard|cancel(?:s|led)?)\b(?!\s+by)[^.\n]{0,90}$", re.IGNORECASE
)
_REPLACED_PART = re.compile(r"\b(?:part|p/n|connector|fuse|module|bolt|sensor)\b[^.\n]{0,40}$", re.IGNORECASE)
_IS_REPLACED = re.compile(
    r"[^.\n]{0,60}?\b(?:(?:has|have|is|was)\s+(?:been\s+)?)?(?:superseded|replaced)\s+by\b", re.IGNORECASE
)
_BEFORE = re.compile(
    r"\b(?:refer\w*\s+(?:to\s+)?|see(?:\s+also)?|previous(?:ly)?|prior|earlier|involved\s+in|remed\w+\s+(?:under|in)|completed\s+under"
    r"|in\s+accordance\s+with|standard\s+no\.?|fmvss|superseded\s+by|replaced\s+by|additional\s+information\s+(?:in|on))\b[^.;\n]{0,48}$",
    re.IGNORECASE,
)
_BARE_CODE = re.compile(
    r"[\s(/,\u2013-]{0,6}(?P<code>[A-Z]{1,3}\d{2,5}[A-Z]?\d?|\d{2}[A-Z]\d{2,3}|\d{3,4}[A-Z]?)\)(?!\w)"
)
_HEADED = re.compile(r"[\s:#]*(?P<number>(?=[\w./-]*\d)[A-Za-z0-9]+(?:[-./\u2013][A-Za-z0-9]+)*)(?![\w])")
_PUBLISHED = re.compile(
    r"\b(?:date(?:d)?(?:\s+of\s+issue)?|issued?(?:\s+(?:on|date))?|published(?:\s+on)?|publication\s+date|posted(?:\s+on)?|released?(?:\s+(?:on|date))?"
    r"|mailed(?:\s+(?:on|to\s+\w+(?:\s+\w+)?))?|distributed(?:\s+on)?|sent(?:\s+\w+){0,3}|revised|effective(?:\s+date)?|revision\s+date"
    r"|announcement|notice\s+date)\s*[:(]?\s*$",
    re.IGNORECASE,
)
_FIRST_DAY = 160
_CORNER = re.compile(
    r"(?:^|[ \t]{2,})(?P<number>(?:[A-Z]{2,5} )?(?=[\w/-]*\d)[A-Z0-9]+(?:[-/][A-Z0-9]+)+)[ \t\r]*$",
    re.MULTILINE,
)
"""A number alone at the margin of the first lines, where papers print theirs."""
_HEAD_LINES = 4
_OF_EVERY_PAPER = frozenset(
    """
    a action aftersales amended america and announcement bulletin campaign classification communication
    communications company compliance copy corporation customer dealer dealers department dept desk digital
    division document electrical emission emissions faq faqs field final first for group id important inc
    information instruction instructions interim letter mailed manufacturer message motor motors nhtsa non
    noncompliance north notice notices notification number of owner page part posted product program q
    quality recall recalls reference release remedy repair revised revision safety second service special
    team technical the tip to tsb update updated usa voluntary warranty
    """.split()  # noqa: SIM905 - a list of words reads better as text
)
"""What every paper may be called."""
_MONTH = re.compile(r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\Z")
_OF_IT = re.compile(
    r"(?:safety\s+)?(?:recall|campaign|bulletin)\b(?:\s+campaign)?\s+(?:on|of|for|regarding)\b", re.IGNORECASE
)
_LONGEST_TITLE = 140
_TITLE_WITHIN, _LEAST_OF_TITLE, _SHORT_TITLE = 14, 2, 10
_NO_TITLE = re.compile(
    r"\s*(?:dear|to\s+all|attention|page|\[page|from:|sent:|concerns?\s|for\s|posted|this|the\s)\b",
    re.IGNORECASE,
)


def numbers_in(paper: Paper, ids: Sequence[tuple[int, int]] = ()) -> Iterator[Proposal]:
    """What a paper is numbered and which papers it replaces; what stands at `ids` is no number."""
    flat = paper.flat
    found = [one for one in bulletin_numbers_in(flat) if not _overlaps(one, ids)]
    found = sorted((*found, *_headed(paper, found)), key=lambda one: one.begins)
    found = found or list(_in_corner(paper))
    found = sorted((*found, *_beside(flat, found)), key=lambda one: one.begins)
    replaced = [one for one in found if _is_replaced(paper, one)]
    left_out = {fold_id(one.number) for one in replaced}
    own = [one for one in found if fold_id(one.number) not in left_out and not _is_another(paper, one)]
    for one in replaced:
        yield Proposal(Field.REPLACES, one.number, one.begins, one.ends)
    for one in own:
        yield Proposal(Field.NUMBER, one.number, one.begins, one.ends)


def _overlaps(one: BulletinNumber, places: Sequence[tuple[int, int]]) -> bool:
    return any(begins < one.ends and one.begins < ends for begins, ends in places)


def _headed(paper: Paper, found: Sequence[BulletinNumber]) -> Iterator[BulletinNumber]:
    """Numbers of any form right behind a heading of numbers."""
    known = {one.begins for one in found}
    for part in paper.of(Part.NUMBER, Part.REPLACES):
        match = _HEADED.match(paper.flat, part.begins, part.ends)
        if (
            match
            and match.start("number") not in known
            and len(match["number"]) > 2
            and not _is_day(match["number"])
        ):
            yield BulletinNumber(match["number"], match.start("number"), match.end("number"), told=True)


def _in_corner(paper: Paper) -> Iterator[BulletinNumber]:
    head = [line for line in paper.lines if line.ends > line.begins][:_HEAD_LINES]
    for match in _CORNER.finditer(paper.text, 0, head[-1].ends if head else 0):
        if not _is_day(match["number"]) and not days_in(match["number"]):
            yield BulletinNumber(match["number"], *match.span("number"), told=False)


def _is_day(word: str) -> bool:
    return re.fullmatch(r"\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}|(?:19|20)\d\d", word) is not None


def _beside(flat: str, found: Sequence[BulletinNumber]) -> Iterator[BulletinNumber]:
    """The maker's own code in brackets behind the number of a recall: "20V-793 (TN523)"."""
    known = {one.begins for one in found}
    for one in found:
        match = _BARE_CODE.match(flat, one.ends)
        if match and RECALL.fullmatch(one.number) and match.start("code") not in known:
            yield BulletinNumber(match["code"], match.start("code"), match.end("code"), told=True)


def _is_replaced(paper: Paper, one: BulletinNumber) -> bool:
    if paper.part_at(one.begins).part is Part.REPLACES:
        return True
    ahead = paper.flat[max(0, one.begins - 100) : one.begins]
    said = _REPLACES.search(ahead)
    if _IS_REPLACED.match(paper.flat, one.ends):
        return False
    return said is not None and not _REPLACED_PART.search(said[0])


def _is_another(paper: Paper, one: BulletinNumber) -> bool:
    """Whether it is the number of a paper that is only spoken of."""
    part = paper.part_at(one.begins).part
    ahead = paper.flat[max(0, one.begins - 70) : one.begins]
    if part is Part.NUMBER and paper.part_at(one.begins).begins > one.begins - 30:
        return False
    return bool(_BEFORE.search(ahead)) or part in (Part.CALIBRATIONS, Part.PAPERWORK, Part.CODES)


def published_in(paper: Paper, days: Sequence[PrintedDay]) -> Iterator[Proposal]:
    """The day a paper was published: under a heading of days, or behind "posted", "mailed", "issued"."""
    told = [one for one in days if one.is_one_day and paper.part_at(one.begins).part is Part.DAY]
    if not told:
        told = [
            one
            for one in days
            if one.is_one_day and _PUBLISHED.search(paper.flat, max(0, one.begins - 40), one.begins)
        ] or [one for one in days[:1] if one.is_one_day and one.begins < _FIRST_DAY and _alone(paper, one)]
    for one in told[:1]:
        yield Proposal(Field.PUBLISHED_ON, one.first.isoformat(), one.begins, one.ends)


def _alone(paper: Paper, one: PrintedDay) -> bool:
    line = paper.line_at(one.begins)
    rest = paper.text[line.begins : one.begins] + paper.text[one.ends : line.ends]
    return len(rest.strip()) <= 24 and not re.search(
        r"\b(?:produced|built|manufactured)\b", rest, re.IGNORECASE
    )


def titles_in(paper: Paper, numbers: Sequence[Proposal], named: Sequence[Named]) -> Iterator[Proposal]:
    """What a paper calls itself: under a heading of subjects, behind its number, or in its first lines."""
    headed = [_trimmed(paper, one.begins, one.ends) for one in paper.of(Part.TITLE)]
    behind = (_trimmed(paper, one.ends, paper.line_at(one.ends).ends) for one in numbers)
    found = [one for one in headed if one] or [one for one in behind if one and _names_it(one.value)]
    yield from (found or list(_first_lines(paper, (*named, *numbers))))[:1]


def _trimmed(paper: Paper, begins: int, ends: int) -> Proposal | None:
    said = paper.flat[begins:ends]
    begins += len(said) - len(said.lstrip(" \n:;,.-\u2013\u2014)*"))
    ends = begins + len(paper.flat[begins:ends].rstrip(" \n:;,-*"))
    value = " ".join(paper.flat[begins:ends].split())
    return Proposal(Field.TITLE, value, begins, ends) if 8 <= len(value) <= _LONGEST_TITLE else None


def _names_it(value: str) -> bool:
    """Whether the words behind a number are a name: no sentence, nothing but words of paper."""
    words = value.split()
    capitals = sum(word[:1].isupper() for word in words)
    name = capitals * 2 >= len(words) or (value[0].isupper() and len(words) <= _SHORT_TITLE)
    return (
        2 <= len(words) <= 16
        and not value[0].islower()
        and name
        and not (value.endswith((".", "!", "?", ",")) or _is_generic(value) or _OF_IT.match(value))
    )


def _is_generic(said: str) -> bool:
    """Whether nothing is left but what every paper is called, once its numbers are taken out."""
    for one in bulletin_numbers_in(said):
        said = said.replace(one.number, " ")
    words = re.findall(r"[^\W\d_]+", said.casefold())
    return all(word in _OF_EVERY_PAPER or _MONTH.match(word) for word in words)


def _first_lines(paper: Paper, named: Sequence[Named | Proposal]) -> Iterator[Proposal]:
    """Those of the first lines that are a name, and neither headings nor what every paper is called."""
    lines = [n for n, line in enumerate(paper.lines) if line.ends > line.begins][:_TITLE_WITHIN]
    for n in lines:
        line = paper.lines[n]
        said = paper.text[line.begins : line.ends].strip()
        if n + 1 == len(paper.lines) or _is_heading(paper, line) or "|" in said or _NO_TITLE.match(said):
            continue
        ends = line.ends
        if said.endswith((";", " AND", "&")):
            ends = paper.lines[n + 1].ends
        found = _trimmed(paper, line.begins, ends)
        if found and _names_it(found.value) and not _only_names(paper, found, named):
            yield found


def _is_heading(paper: Paper, line: Line) -> bool:
    """Whether a line holds a heading: alone, or in front of what it heads."""
    part = paper.part_at(max(line.ends - 1, 0))
    return bool(part.label) and (part.begins >= line.begins or part.part is not Part.PLAIN)


def _only_names(paper: Paper, found: Proposal, named: Sequence[Named | Proposal]) -> bool:
    """Whether little is left of a line but makes, models, numbers and years: it says for whom, not what."""
    said = list(paper.flat[found.begins : found.ends])
    for one in named:
        for at in range(max(one.begins, found.begins), min(one.ends, found.ends)):
            said[at - found.begins] = " "
    rest = re.sub(
        r"[\d/\u2013-]+|\b(?:MY|model|years?|and|all|engines?|vehicles?|with|certain)\b", " ", "".join(said)
    )
    return _is_generic(rest) or len(re.findall(r"[A-Za-z]{2,}", rest)) < _LEAST_OF_TITLE
