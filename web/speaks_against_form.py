"""What speaks against a note's remedy, as rows of its form: words, and the check that asks for them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from kb.nouns.checks import CheckView
from kb.nouns.notes import SpeaksAgainst
from web.forms import TypedForm

BLANK_ROWS = 3


def read(typed: TypedForm) -> tuple[SpeaksAgainst, ...]:
    """The rows with words; a row without them is no entry."""
    return tuple(SpeaksAgainst(says.strip(), check) for says, check in _rows(typed) if says.strip())


def rows(typed: TypedForm, saved: Iterable[SpeaksAgainst]) -> tuple[tuple[str, str], ...]:
    """(words, key of the check) for the form: as typed, else as saved with some rows left free."""
    blank = (("", ""),) * BLANK_ROWS
    return _rows(typed) or (*((one.says, one.check) for one in saved), *blank)


def checks_to_choose(checks: Iterable[CheckView]) -> Mapping[str, str]:
    """The shop's checks that a note may name, by name; those made of a note's words are its own."""
    return {check.key: check.content.name for check in checks if not check.of_notes}


def line(one: SpeaksAgainst) -> str:
    """To be compared between two versions."""
    return f"{one.says} = {one.check}" if one.check else one.says


def _rows(typed: TypedForm) -> tuple[tuple[str, str], ...]:
    says, checks = typed.values.get("against_says", ()), typed.values.get("against_check", ())
    return tuple(zip(says, (*checks, *("" for _ in says)), strict=False))
