"""The headed parts of a pasted paper: where headings stand, alone or beside what they head, and how far each
reaches.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from kb.intake.text.paper.headings import Part, part_headed
from kb.intake.text.paper.lines import Line

_LABEL = re.compile(
    r"(?:(?<=\s\s)|(?<=[\t|])|^)[ ]?(?P<label>[A-Za-z][\w./&()#' ?-]{0,48}?)\s*[:=#]+(?=\s|$)[ \t]*"
)
_INLINE = re.compile(r"(?<=\s)(?P<label>[A-Z][\w./]*(?: [A-Z#][\w./#]*){0,2})\s*:[ \t]+")
_BARE = re.compile(
    r"[\s*_=#\u2022-]*(?:\d{1,2}(?:[.)]\s+|\s{2,}))?(?P<label>[A-Za-z][\w./&()' ?-]{0,58}?)[\s*_=:.?-]*"
)
_OLD_AND_NEW = re.compile(
    r"\b(?:old|current|existing|previous|original|before)\b.*\b(?:new|updated|revised|after|replacement)\b",
    re.IGNORECASE,
)
_SIDE = re.compile(
    r"[ ]{0,3}(?:\|\s*)?(?P<label>[A-Za-z][\w./&()' -]{1,34}?)(?:[ ]{2,}|[ ]*\t[ \t]*|[ ]*\|[ ]*)(?=\S)"
)
"""A heading beside what it heads, parted by a wide space alone."""
_ONE_LINE = (Part.NUMBER, Part.DAY, Part.MAKE, Part.YEARS, Part.ENGINE, Part.BUILT, Part.MODULE)
_ONE_PARAGRAPH = (Part.TITLE, Part.MODEL, Part.VEHICLES, Part.REPLACES)

_LONGEST_LINE = 400
_LINE_ENDS = re.compile(r"\n")
_PARAGRAPH = re.compile(r"\n[^\S\n]*\n")
_SENTENCE_STOPS = re.compile(r"\n[^\S\n]*\n|\.[^\S\n]*\n(?!\s*(?:[^\w\s]|\(?\w{1,2}[.)]\s|[a-z]))")
_WORK_FOLLOWS = re.compile(
    r"\n[^\S\n]*\n|\n(?=\s*(?i:applies|(?:re-?)?(?:program|flash)\w*|updat(?:e|ing)|write\s+down|during|before|replace|install|dealers|do\s+not"
    r"|after\s+(?:re|the\s+update|updat)|connect|make\s+sure|perform|check)\b)"
)
_TELLS_OF_VEHICLE = (Part.SYMPTOM, Part.CAUSE, Part.CONDITIONS)
_ASKS = (Part.PRECAUTIONS, Part.RELEARNS, Part.AGAINST, Part.CODES)
"""Beside their headings these end with their sentence, where no list goes on."""

Label = tuple[int, int, Part, str]
"""Where a heading begins, where what it heads begins, the part, and the words of the heading."""


@dataclass(frozen=True, slots=True)
class Headed:
    """A run of the text under one heading; `label` is that heading, empty before the first one."""

    part: Part
    begins: int
    ends: int
    label: str = ""


def headings_of(text: str, line: Line) -> Iterator[Label]:
    """Headings of one line: alone on it, or with a colon in front of what they head, several side by side."""
    said = text[line.begins : line.ends][:_LONGEST_LINE]
    bare = _BARE.fullmatch(said)
    part = (
        part_headed(bare["label"])
        if bare and (_looks_like_heading(said, bare["label"]) or _stands_alone(text, line))
        else None
    )
    if bare and part:
        yield line.begins, line.ends, part, bare["label"].strip()
        return
    found = {m.start("label"): m for form in (_LABEL, _INLINE) for m in form.finditer(said)}
    side = _SIDE.match(said)
    if side and not found and not _is_table_head(said):
        found[side.start("label")] = side
    for start in sorted(found):
        match = found[start]
        part = part_headed(match["label"].strip(" .?"))
        if part:
            yield line.begins + start, line.begins + match.end(), part, match["label"].strip()


def _stands_alone(text: str, line: Line) -> bool:
    """Whether a line begins with a capital and an empty line stands above it."""
    above = text[max(0, line.begins - 8) : line.begins].replace("\r", "").replace(" ", "")
    return text[line.begins : line.begins + 1].isupper() and (not above or above.endswith("\n\n"))


def _is_table_head(said: str) -> bool:
    """Whether several cells of a line are headings: then it heads columns."""
    cells = [cell.strip() for cell in re.split(r"\t+| {2,}|\|", said) if cell.strip()]
    return sum(part_headed(cell) is not None for cell in cells) > 1 or bool(_OLD_AND_NEW.search(said))


def _looks_like_heading(said: str, label: str) -> bool:
    """Whether a line of a few words may be a heading: in capitals, with a colon or signs around, or in
    Title Case.
    """
    words = label.split()
    signed = said.strip() != label or said.rstrip().endswith((":", "?"))
    return signed or label.isupper() or all(w[:1].isupper() or len(w) <= 4 for w in words)


def parts_of(text: str, labels: Sequence[Label]) -> Iterator[Headed]:
    """The text cut at its headings, nothing left out but these."""
    bounds = [*labels, (len(text), len(text), Part.PLAIN, "")]
    yield Headed(Part.PLAIN, 0, bounds[0][0])
    for (_, begins, part, label), (ends, *_) in pairwise(bounds):
        stops = _short_end(text, begins, ends, part)
        yield Headed(part, begins, stops, label)
        if stops < ends:
            yield Headed(Part.PLAIN, stops, ends)


def _short_end(text: str, begins: int, ends: int, part: Part) -> int:
    """Where a part ends: some with their line, one beside its heading with its paragraph."""
    said = text[begins:ends]
    beside = bool(said.split("\n", 1)[0].strip())
    if part not in (*_ONE_LINE, *_ONE_PARAGRAPH) and not beside:
        return ends
    start = len(said) - len(said.lstrip())
    stop = _stop_of(part, beside).search(said, start)
    return begins + stop.start() if stop else ends


def _stop_of(part: Part, beside: bool) -> re.Pattern[str]:
    """What ends a part that is short, or stands beside its heading."""
    if part in _ONE_LINE or (part is Part.PAPERWORK and beside):
        return _LINE_ENDS
    if part in _TELLS_OF_VEHICLE:
        return _WORK_FOLLOWS
    return _SENTENCE_STOPS if part in _ASKS else _PARAGRAPH
