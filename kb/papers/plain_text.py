"""Parts of a paper as plain text: a line a thing, and letters that no program mangles where that is asked.

No line is broken: whatever it is pasted into breaks lines by its own width.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

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
    """Headings in capitals, a blank line before each."""
    text = "\n\n".join("\n".join(_lines_of(part)) for part in parts) + "\n"
    return ascii_letters(text) if only_ascii else text


def _lines_of(part: PaperPart) -> Iterator[str]:
    yield _printable(part.heading).upper()
    for line in part.lines:
        first, *more = _printable(line.text).split("\n") or [""]
        yield f"{_printable(line.label)}: {first}"
        yield from (_INDENT + one for one in more)


def _printable(text: str) -> str:
    """Line ends of one kind; tabs and control characters, which no field holds, are blanks."""
    lines = ("".join(one if one.isprintable() else " " for one in line) for line in text.splitlines())
    return "\n".join(line.strip() for line in lines).strip()
