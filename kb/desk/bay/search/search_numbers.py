"""A bulletin asked for by its number: found however it is written, or said not to be on file."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from kb.desk.bay.search.search_memory import CONCERN
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.notes import Grade, NoteKind, NoteState
from kb.nouns.vehicles import Applies
from kb.records.store.notes import makes as store
from kb.search.index import SearchIndex
from kb.search.query import Hit, Id

_MOST_WORDS = 4
_NUMBER = re.compile(r"[a-z]{2,}[a-z0-9]*?[-./ ]?[0-9]+[a-z0-9]*|[0-9]{2}[VETCX][- ]?[0-9]{3}", re.IGNORECASE)
"""A bulletin's printed number, or a recall's ("20V-177")."""


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


def numbered_first(index: SearchIndex, hits: list[Hit], ids: tuple[int, ...]) -> list[Hit]:
    """The notes asked for by number before everything else, also where no word of theirs matched. Of one that
    was found under another of its defect it is the head.
    """
    best = max((hit.score for hit in hits), default=0.0) + 1.0
    by_id = {
        one: hit for hit in hits if hit.kind != CONCERN for one in (hit.id, *(other for other, _ in hit.also))
    }
    first = [_named(one, by_id.get(one), best, index.of_one_defect(one)) for one in ids]
    taken = {id(by_id[one]) for one in ids if one in by_id}
    return [*first, *(hit for hit in hits if id(hit) not in taken)]


def _named(note_id: int, hit: Hit | None, score: float, also: tuple[Id, ...]) -> Hit:
    if hit is not None and hit.id == note_id:
        return replace(hit, score=score, grade=Grade.STRONG)
    return Hit(note_id, NoteKind.BULLETIN.value, score, Grade.STRONG, Applies.CANNOT_TELL, (), also=also)
