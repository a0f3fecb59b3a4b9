"""In which state a trouble code is, by the words of scan reports. Common practice, no source."""

from __future__ import annotations

import re

_WORDS = {
    "permanent": r"permanent|pdtc",
    "pending": r"pending|maturing|unconfirmed|not\s+confirmed|immature",
    "history": (
        r"histor\w+|hist|stored|inactive|not\s+(?:active|present|current)|past|previous(?:ly)?|intermittent"
        r"|passive|old"
    ),
    "current": r"current(?:ly)?|curr|active|confirmed|present|mature",
}
"""In the order in which they are looked for: "not confirmed" says "confirmed" too."""
_STATUS = re.compile(
    "|".join(rf"(?P<{name}>(?<![\w-])(?:{said})(?![\w-]))" for name, said in _WORDS.items()), re.I
)
_ALONE = re.compile(
    rf"(?:(?:codes?|dtcs?|faults?|status|state|is|now|and|both|all|/|,|\s)+|{_STATUS.pattern})+", re.I
)
_NOUN = re.compile(r"\b(?:codes?|dtcs?|faults?|trouble|errors?|services?|mode)\b", re.I)
_NAMED = re.compile(r"\b(?:status|state)\b[\"'\s:=#-]*", re.I)
_YES = re.compile(r"(?:x|y|yes|true|1|on|\u2713|\u2714|\u25cf|\*)", re.I)
_ORDER = tuple(_WORDS)


def status_alone(words: str) -> str:
    """The status, where the words say nothing else ("Confirmed", "stored DTC"); else empty."""
    plain = words.strip(" \t()[]{}<>:;.,\"'*#=-\u2013\u2014|")
    return _status_of(plain) if plain and _ALONE.fullmatch(plain) else ""


def status_headed(line: str) -> str | None:
    """The status that a heading of codes says of what follows ("Pending codes (2)"); None for no heading."""
    plain = re.sub(r"\(?\b\d+\b\)?|none|found|detected|list", " ", line, flags=re.I).strip(
        " \t=*#-_:|.[]<>\"'"
    )
    if len(plain.split()) > 7 or not plain:
        return None
    if _NOUN.search(plain):
        return _status_of(plain)
    return status_alone(plain) or None


def status_beside(before: str, after: str) -> str:
    """The status that a line says of the code between: in brackets or at an end, or right beside it."""
    named = _NAMED.search(after) or _NAMED.search(before)
    if named:
        rest = named.string[named.end() :]
        return _status_of(rest[:40])
    pieces = [
        *re.split(r"[()\[\]|,;:/\t]|\s[-\u2013\u2014]+\s|-+>|\s{2,}", after),
        *re.split(r"[()\[\]|,;:\t]|\s[-\u2013\u2014]\s|\s{2,}", before),
    ]
    alone = [status for piece in pieces if (status := status_alone(piece))]
    if alone:
        return min(alone, key=_ORDER.index)
    return _at_an_end(before, after)


def ticked(cell: str) -> bool:
    """Whether a cell of a column named by a status says yes."""
    return _YES.fullmatch(cell.strip()) is not None


def _status_of(words: str) -> str:
    found = [one.lastgroup or "" for one in _STATUS.finditer(words)]
    return min(found, key=_ORDER.index) if found else ""


def _at_an_end(before: str, after: str) -> str:
    words, first = after.split(), before.split()
    ends = (" ".join(words[-2:]), words[-1] if words else "", words[0] if words else "")
    begins = (first[-1] if first else "", first[0] if first else "", " ".join(first[-2:]))
    for said in (*ends, *begins):
        if (status := status_alone(said)) and not _of_electricity(said, words):
            return status
    near = re.match(
        r"\W*(?:is|are|was|as|set|shows?|came\s+up|comes?\s+up|being)\W+(?:\w+\W+){0,1}?", after, re.I
    )
    return _status_of(after[near.end() : near.end() + 14]) if near else ""


def _of_electricity(said: str, words: list[str]) -> bool:
    """Whether the word begins what a code means ("Current too high") and is no status."""
    return (
        said.lower() in ("current", "present", "active")
        and len(words) > 1
        and words[1].lower() not in ("in", "on", "at")
        and words[0].lower() == said.lower()
    )
