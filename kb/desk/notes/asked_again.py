"""Searches that found nothing, asked again as notes and shop talk change: which still find nothing."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass

from kb.desk.bay.search.search import KINDS, NOTE_KINDS, SearchRequest, SearchView, search
from kb.desk.bay.search.search_memory import NOTES_AND_TALK
from kb.desk.bay.search.search_numbers import numbers_asked
from kb.desk.context import Desk
from kb.nouns.notes import Grade
from kb.records.store.bay.searching import changed_notes

FAINT = (Grade.WEAK,)
"""What is found no better than this answers nothing."""


@dataclass(frozen=True, slots=True)
class _Found:
    """By text the note that answers it, or what is shown where none does; up to which revision of notes, and
    of what else it rests on.
    """

    answered: Mapping[str, int]
    unanswered: Mapping[str, SearchView]
    notes: int
    rest: Sequence[int]


def still_unanswered(desk: Desk, texts: Sequence[str], most: int) -> Mapping[str, SearchView]:
    """Of these texts the first that no note answers, at most so many, and what little each finds.

    A text that asks by number for something on file (a repair order, the end of a VIN) lacks no words. A
    note that answers one does until it is changed or taken out, or shop talk changes,
    though it may be found a little worse meanwhile: with every note that is saved all of them would be
    searched for again.
    """
    notes, *rest = desk.up_to(*NOTES_AND_TALK)
    key = (tuple(texts), notes, *rest)

    def asked(_key: Hashable, old: _Found | None) -> _Found:
        return _Found(*_ask(desk, texts, most, _answered(desk, rest, old)), notes, rest)

    return desk.memory.renew("asked again", key, asked).unanswered


def _ask(
    desk: Desk, texts: Sequence[str], most: int, answered: dict[str, int]
) -> tuple[dict[str, int], dict[str, SearchView]]:
    unanswered: dict[str, SearchView] = {}
    for text in texts:
        if len(unanswered) == most:
            break
        if text not in answered:
            view = search(desk, SearchRequest(text, kinds=NOTE_KINDS))
            better = [result.id for result in view.results if result.grade not in FAINT]
            if better:
                answered[text] = better[0]
            elif not numbers_asked(desk, text, KINDS).any:
                unanswered[text] = view
    return answered, unanswered


def _answered(desk: Desk, rest: Sequence[int], old: _Found | None) -> dict[str, int]:
    """What was answered by a note that stands as it was."""
    if old is None or old.rest != rest:
        return {}
    changed = {note_id for note_id, _ in changed_notes(desk.session, desk.shop.id, old.notes)}
    return {text: note_id for text, note_id in old.answered.items() if note_id not in changed}
