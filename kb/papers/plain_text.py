"""Parts of a paper as plain text: short lines, and letters that no program mangles where that is asked."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

WIDTH = 72
"""Characters of a line; fields of other programs are rarely wider (common practice, no source)."""
_INDENT = "  "
_PLAIN = str.maketrans(
    {
        **dict.fromkeys("‘’‚′`´", "'"),
        **dict.fromkeys("“”„″«»", '"'),
        **dict.fromkeys("‐‑‒–—―−", "-"),
        **dict.fromkeys("•·", "*"),
        "→": "->",
        "×": "x",
        "°": "deg ",
        "⁄": "/",
        "µ": "u",
        "Ω": "ohm",
        "±": "+/-",
        "≤": "<=",
        "≥": ">=",
        "€": "EUR ",
        "£": "GBP ",
        "¥": "JPY ",
        "ß": "ss",
        "æ": "ae",
        "ø": "o",
    }
)


@dataclass(frozen=True, slots=True)
class PaperLine:
    """One line of a paper: what it is about, and what is on file of it."""

    label: str
    text: str


@dataclass(frozen=True, slots=True)
class PaperPart:
    """Lines under a heading."""

    heading: str
    lines: tuple[PaperLine, ...]


def ascii_letters(text: str) -> str:
    """The same in ASCII alone: signs written out, accents dropped, what has no likeness as "?"."""
    apart = unicodedata.normalize("NFKD", text.translate(_PLAIN)).translate(_PLAIN)
    kept = "".join(one for one in apart if not unicodedata.combining(one))
    return kept.encode("ascii", "replace").decode()


def plain_text(parts: Iterable[PaperPart], *, only_ascii: bool = False) -> str:
    """Headings in capitals, a blank line before each; no line is wider than `WIDTH`."""
    text = "\n\n".join("\n".join(_lines_of(part)) for part in parts) + "\n"
    return "\n".join(_wrapped(ascii_letters(text).split("\n"))) if only_ascii else text


def _lines_of(part: PaperPart) -> Iterator[str]:
    yield from _wrapped([_printable(part.heading).upper()])
    for line in part.lines:
        first, *more = _printable(line.text).split("\n") or [""]
        yield from _wrapped([f"{_printable(line.label)}: {first}"])
        yield from (_INDENT + one for one in _wrapped(more, WIDTH - len(_INDENT)))


def _printable(text: str) -> str:
    """Line ends of one kind; tabs and control characters, which no field holds, are blanks."""
    lines = ("".join(one if one.isprintable() else " " for one in line) for line in text.splitlines())
    return "\n".join(line.strip() for line in lines).strip()


def _wrapped(lines: Iterable[str], width: int = WIDTH) -> Iterator[str]:
    for line in lines:
        yield from textwrap.wrap(line, width, subsequent_indent=_INDENT, break_on_hyphens=False) or [""]
