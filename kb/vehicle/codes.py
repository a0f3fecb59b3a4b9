"""Diagnostic trouble codes in the form of SAE J2012 / ISO 15031-6: "P0171", "U0100-87".

Bit layout of the two bytes: bits 15-14 are P, C, B, U; bits 13-12 the first digit 0 to 3; then three
hexadecimal digits. A third byte is the failure type. Which ranges are standard is from memory of J2012.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from kb.errors import BadInput
from kb.nouns.notes import CodeKind, NoteCode

_CODE = re.compile(r"([PCBU][0-3][0-9A-F]{3})(?:[-:./_ ]?([0-9A-F]{2}))?")
_SUFFIX = re.compile(r"[-:./_]?([0-9A-F]{2})")
_BASE = r"[PCBU][0-3][0-9A-F]{3}"
_IN_TEXT = re.compile(
    rf"(?:(?<![\w-])|(?<={_BASE}-)){_BASE}(?:(?:-[0-9A-F]|\d)[0-9A-F](?![\w-])|(?!\w|-(?!{_BASE})))"
)
"""Both ends of a span ("P0300-P0304") are codes too, and a failure type may follow with or without hyphen."""
_GENERAL = frozenset(
    (
        *(f"P017{n}" for n in range(1, 6)),
        *(f"P03{n:02d}" for n in range(13)),
        *("P0562", "P0563", "U3003", "U3006", "B1317", "B1318", "B1325"),
    )
)
_SHOWN = 40
"""So many letters of what is none are said again."""
_HOW = (
    "A trouble code is P, B, C or U, a digit 0 to 3 and three characters 0-9 A-F, such as P0171 or U0100-87."
)


class Origin(StrEnum):
    """Who gives the code its meaning."""

    STANDARD = "standard"
    MAKER = "maker"
    RESERVED = "reserved"


@dataclass(frozen=True, slots=True)
class TroubleCode:
    """A code ("U0100") and its failure type ("87", empty when not said)."""

    base: str
    failure_type: str = ""

    def __str__(self) -> str:
        return f"{self.base}-{self.failure_type}" if self.failure_type else self.base

    @property
    def origin(self) -> Origin:
        """Standard, maker-specific or reserved, by the first two or three characters."""
        if self.base.startswith("P3"):
            return Origin.MAKER if self.base[2] in "0123" else Origin.STANDARD
        if self.base[1] == "0" or self.base.startswith(("P2", "U3")):
            return Origin.STANDARD
        return Origin.RESERVED if self.base[1] == "3" else Origin.MAKER


def parse_code(text: str) -> TroubleCode:
    """Read one code in any case, with or without failure type ("P0171", "u0100-87", "P0171 00").

    Raises BadInput with `fields={"codes": ...}` that says what is wrong with it.
    """
    typed = " ".join(text.split()).upper()
    found = _CODE.fullmatch(typed)
    if found:
        return TroubleCode(found[1], found[2] or "")
    said = text.strip()
    shown = said if len(said) <= _SHOWN else f"{said[:_SHOWN]}\u2026"
    message = f'"{shown}" is no trouble code{_hint(typed)}. {_HOW}'
    raise BadInput(message, fields={"codes": message})


def parse_codes(text: str) -> tuple[TroubleCode, ...]:
    """Read a free list split on spaces, commas and semicolons, each code once, in order.

    Two hexadecimal digits standing alone after a code are its failure type. Raises BadInput at the first
    word that is no code.
    """
    return tuple(dict.fromkeys(parse_code(word) for word in split_list(text)))


def split_list(text: str) -> tuple[str, ...]:
    """The words of a free list of codes, a lone failure type joined to the code before it."""
    words: list[str] = []
    for word in re.split(r"[\s,;]+", text.strip().upper()):
        suffix = _SUFFIX.fullmatch(word)
        if suffix and words and re.fullmatch(r"[PCBU][0-3][0-9A-F]{3}", words[-1]):
            words[-1] += f"-{suffix[1]}"
        elif word:
            words.append(word)
    return tuple(words)


def is_general(code: str) -> bool:
    """Whether so many faults set this code that no bulletin is told by it. Common practice, from memory.

    Lean or rich trim (P0171 to P0175), misfire (P0300 to P0312), lost communication (U01xx, U02xx), low or
    high system voltage (P0562, P0563; U3003 and U3006, of a module's own supply; body codes of the battery's
    voltage such as B1317, B1318 and B1325).
    """
    base = code[:5].upper()
    return base in _GENERAL or re.fullmatch(r"U0[12][0-9A-F]{2}", base) is not None


def note_code(code: str, kind: CodeKind = CodeKind.DEFINING) -> NoteCode:
    """The code as a note names it; a general one defines nothing and may only be stored."""
    if kind is CodeKind.DEFINING and is_general(code):
        return NoteCode(code, CodeKind.MAY_BE_STORED)
    return NoteCode(code, kind)


def printed_codes(text: str) -> Iterator[tuple[int, int, str]]:
    """Where a running text prints a code (begin, end), and the code as printed; capitals only, so that words
    and part numbers stay words.
    """
    return ((found.start(), found.end(), found[0]) for found in _IN_TEXT.finditer(text))


def _hint(typed: str) -> str:
    zero = typed.replace("O", "0")
    if zero != typed and _CODE.fullmatch(zero):
        return f": it has the letter O where a zero belongs (did you mean {zero}?)"
    if re.fullmatch(r"[PCBU][0-9A-F]{0,3}", typed):
        return f": {len(typed)} characters, five are needed"
    return ""
