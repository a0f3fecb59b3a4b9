"""The bulletin and the calibration IDs that belong to an act."""

from __future__ import annotations

import re

from kb.intake.history.corrections.clauses import Text
from kb.intake.history.corrections.module_names import Named
from kb.intake.text.calibration.ids import steps_in
from kb.intake.text.calibration.words import ids_in
from kb.nouns.history.corrections import Place

_DOES_NOT_APPLY = re.compile(r"\b(?:not apply|not applicable|no longer|does not|doesnt|not for)\b")
_ID_AFTER = re.compile(
    r"(?:cal(?:ibration)?s?|p/?n|part (?:number|no)|software|sw|version|file|id|level|to)"
    r"\W*(?:id|is|number|no|#|:)?\W*$",
    re.IGNORECASE,
)


def number_of(said: Text, at: int) -> Named | None:
    """The number in the clause, else the nearest in the text, one before it rather than one behind."""
    own = said.clauses[at]
    if own.numbers:
        return own.numbers[0]
    others = [
        (abs(at - n) + (0.5 if n > at else 0), clause.numbers[0])
        for n, clause in enumerate(said.clauses)
        if clause.numbers and not _DOES_NOT_APPLY.search(clause.words)
    ]
    return min(others, key=lambda one: one[0], default=(0, None))[1]


def calibrations_of(text: str, module: str) -> tuple[tuple[str, ...], str, tuple[Place, ...]]:
    """The old IDs, the new one, and where they stand; of a text that tells several, those of the module."""
    plain = _as_printed(text)
    steps = list(steps_in(plain))
    mine = [one for one in steps if one.module == module] or steps
    if mine:
        old, new = mine[0].ids(plain)
        return old, new, (*mine[0].old, mine[0].new)
    ids = [one for one in ids_in(plain) if _ID_AFTER.search(plain[: one.start()])]
    return ((), ids[0][0], (ids[0].span(),)) if len(ids) == 1 else ((), "", ())


def _as_printed(text: str) -> str:
    """Words in small letters and IDs in capitals, as papers print them, whatever the technician's writing."""
    return re.sub(
        r"\S+", lambda word: word[0].upper() if re.search(r"\d", word[0]) else word[0].lower(), text
    )
