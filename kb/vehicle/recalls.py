"""What is a recall, and how those on file and a look-up by VIN stand together.

A look-up may be made on any line of a visit; what is said last counts. "None open" closes what was open
before it, and one that is found open takes "none open" back. Not looked up never reads as clear.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from kb.nouns.notes import RECALLS, NoteKind
from kb.nouns.recalls import (
    RecallKind,
    RecallOnFile,
    RecallResult,
    RecallSaid,
    RecallsOfConcern,
    RecallStanding,
)
from kb.nouns.vehicles import Applies, fold_id

NOT_ON_FILE = "not on file here"
_RECALL = re.compile(r"\W*(?:(?:safety|emissions?|noncompliance)\W+)?recall\b", re.IGNORECASE)
_CAMPAIGN = re.compile(r"\b(?:campaign|extended (?:coverage|warranty))\b", re.IGNORECASE)


def kind_of(kind: str, source: str, title: str) -> RecallKind | None:
    """Whether a note is a recall or campaign: by where it came from, else by a bulletin's own title."""
    if source == RECALLS:
        return RecallKind.RECALL
    if kind != NoteKind.BULLETIN.value:
        return None
    if _RECALL.match(title):
        return RecallKind.RECALL
    return RecallKind.CAMPAIGN if _CAMPAIGN.search(title) else None


def settle(
    on_file: Sequence[RecallOnFile], said: Iterable[RecallSaid], *, vehicle_known: bool = True
) -> RecallsOfConcern:
    """The recalls as they stand: open ones first, then those that touch the concern, then by number."""
    last, none_open = _last_said(said)
    known = {fold_id(one.number): one for one in on_file}
    standings = [_standing(last.pop(number, None), one) for number, one in known.items()]
    standings += [_standing(one, None) for one in last.values()]
    standings.sort(key=_order)
    return RecallsOfConcern(tuple(standings), none_open, vehicle_known)


def _order(one: RecallStanding) -> tuple[bool, bool, bool, str]:
    return not one.is_open, not one.touches, one.applies is not Applies.YES, one.number


def _last_said(said: Iterable[RecallSaid]) -> tuple[dict[str, RecallSaid], RecallSaid | None]:
    last: dict[str, RecallSaid] = {}
    none_open: RecallSaid | None = None
    for one in said:
        if one.result is RecallResult.NONE_OPEN:
            none_open = one
            last = {number: held for number, held in last.items() if held.result is not RecallResult.OPEN}
        elif one.result is RecallResult.TAKEN_BACK:
            last.pop(fold_id(one.number), None)
            none_open = none_open if one.number else None
        else:
            last[fold_id(one.number)] = one
            none_open = None if one.result is RecallResult.OPEN else none_open
    return last, none_open


def _standing(said: RecallSaid | None, held: RecallOnFile | None) -> RecallStanding:
    """One that is not on file here touches the concern until somebody says otherwise."""
    touches = bool(held.touches) if held else True
    if said and said.touches is not None:
        touches = said.touches
    return RecallStanding(
        number=held.number if held else said.number if said else "",
        note_id=held.note_id if held else None,
        title=held.title if held else "",
        kind=held.kind if held else RecallKind.RECALL,
        applies=held.applies if held else Applies.CANNOT_TELL,
        standing=held.standing if held else NOT_ON_FILE,
        touches=touches,
        shares=held.touches if held else (),
        result=said.result if said else RecallResult.TAKEN_BACK,
        by=said.by if said else "",
        on=said.on if said else None,
    )
