"""Cells of our notes format that say more than one thing: what codes mean, and what speaks against."""

from __future__ import annotations

import re

from kb.errors import BadInput
from kb.nouns.notes import CodeKind, NoteCode, SpeaksAgainst
from kb.vehicle.codes import note_code, parse_codes

_HOW = "Write the code and defining, may be stored or not part: P0741 not part, P0171 may be stored."


def as_word(said: str) -> str:
    """What somebody wrote as one of our few words: "Software and part" is "software_and_part"."""
    return "_".join(re.split(r"[\s,_-]+", said.strip().casefold()))


def codes_of(codes: str, kinds: str) -> tuple[NoteCode, ...]:
    """The codes of a row with what it says of them. Raises BadInput that names the column."""
    said = dict(_kind(part) for part in re.split(r"[,;\n]+", kinds) if part.strip())
    named = dict.fromkeys((*map(str, parse_codes(codes)), *said))
    return tuple(note_code(code, said.get(code, CodeKind.DEFINING)) for code in named)


def against_of(line: str) -> SpeaksAgainst:
    """One line of what speaks against: the words, and after " = " the key of a check."""
    named = re.fullmatch(r"(.*\S)\s+=\s+([a-z0-9_]+)", line.strip())
    return SpeaksAgainst(named[1], named[2]) if named else SpeaksAgainst(line.strip())


def _kind(part: str) -> tuple[str, CodeKind]:
    code, _, kind = part.strip().partition(" ")
    word = as_word(kind)
    if word not in set(CodeKind):
        raise BadInput(f'"{part.strip()}" says nothing of a code. {_HOW}', fields={"code_kinds": _HOW})
    try:
        [found] = parse_codes(code.rstrip(":"))
    except (BadInput, ValueError) as wrong:
        raise BadInput(
            f'"{part.strip()}" names no trouble code. {_HOW}', fields={"code_kinds": _HOW}
        ) from wrong
    return str(found), CodeKind(word)
