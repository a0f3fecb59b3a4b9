"""A bulletin asked for by its number: found however it is written, or said not to be on file."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from kb.desk.bay.search.search_memory import CONCERN
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.notes import Grade, NoteKind, NoteState
from kb.nouns.vehicles import Applies
from kb.records.store.notes import makes as store
from kb.search.query import Hit

_MOST_WORDS = 4
_NUMBER = re.compile(r"[a-z]{2,}[a-z0-9]*?[-./ ]?[0-9]+[a-z0-9]*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class NumbersAsked:
    """Ids of published notes whose printed number was typed, and numbers of a known series not on file."""

    ids: tuple[int, ...] = ()
    not_on_file: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        return " ".join(f"No bulletin {number} on file." for number in self.not_on_file)


NOTHING_ASKED = NumbersAsked()


@anyone_in_the_shop
def numbers_asked(desk: Desk, text: str) -> NumbersAsked:
    """Only short queries are looked at: a complaint that mentions a model is no number.

    "Not on file" is said of a number alone whose letters begin a number on file: CX-5 is a vehicle.
    """
    said = text.split()
    if not 1 <= len(said) <= _MOST_WORDS:
        return NOTHING_ASKED
    typed = [one for one in dict.fromkeys((" ".join(said), *said)) if _NUMBER.fullmatch(one)]
    if not typed:
        return NOTHING_ASKED
    found = store.notes_numbered(desk.session, desk.shop.id, typed)
    ids = tuple(one for one, _, state in found if state == NoteState.PUBLISHED.value)
    known = {store.fold_number(number) for _, number, _ in found}
    missing = [one for one in typed if store.fold_number(one) not in known] if not ids else []
    series = [one for one in missing if store.has_series(desk.session, desk.shop.id, _letters(one))]
    return NumbersAsked(ids, tuple(series[:1]))


def _letters(number: str) -> str:
    match = re.match(r"[a-z]+", number.lower())
    return match[0] if match else ""


def numbered_first(hits: list[Hit], ids: tuple[int, ...]) -> list[Hit]:
    """The notes asked for by number before everything else, also where no word of theirs matched."""
    by_id = {hit.id: hit for hit in hits if hit.kind != CONCERN}
    best = max((hit.score for hit in hits), default=0.0) + 1.0
    first = [
        replace(by_id[one], score=best, grade=Grade.STRONG)
        if one in by_id
        else Hit(one, NoteKind.BULLETIN.value, best, Grade.STRONG, Applies.CANNOT_TELL, ())
        for one in ids
    ]
    return [*first, *(hit for hit in hits if hit.kind == CONCERN or hit.id not in ids)]
