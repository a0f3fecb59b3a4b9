"""Which limits rule on one concern: those that the notes about it print, before a check's own."""

from __future__ import annotations

from collections.abc import Mapping

from kb.desk.bay.advice.concern_in_hand import concern_in_hand
from kb.desk.context import Desk
from kb.nouns.advice import ConcernInHand
from kb.nouns.bay.concern_file import ConcernFile


def printing_notes(desk: Desk, file: ConcernFile) -> Mapping[int, str]:
    """Notes whose printed limits count here, by id: candidates, what they replaced, what is about it."""
    return notes_in_hand(concern_in_hand(desk, file))


def notes_in_hand(in_hand: ConcernInHand) -> Mapping[int, str]:
    """The same of what is in hand already."""
    names = {one.note_id: one.name for one in in_hand.candidates}
    names |= {merged: one.name for one in in_hand.candidates for merged in one.merged}
    return names | {one.note: one.name for one in in_hand.near if one.about}
