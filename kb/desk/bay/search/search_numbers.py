"""What is asked for by a number of the trade comes first, however written, or is said not to be on file."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass, replace

from kb.desk.bay.search.entries import CONCERN
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.notes import Grade, NoteKind, NoteState
from kb.nouns.vehicles import Applies, fold_id
from kb.records.store.bay import numbers as concern_numbers
from kb.records.store.notes import makes as store
from kb.search.index import SearchIndex
from kb.search.query import Hit, Id
from kb.words.one_defect import recall_number
from kb.words.printed_numbers import numbers_typed

MOST = 20


@dataclass(frozen=True, slots=True)
class NumbersAsked:
    """Ids of published notes and of past concerns whose number was typed, best first, and numbers of a known
    series that are not on file.
    """

    notes: tuple[int, ...] = ()
    concerns: tuple[int, ...] = ()
    not_on_file: tuple[str, ...] = ()

    @property
    def any(self) -> bool:
        return bool(self.notes or self.concerns)

    @property
    def sentence(self) -> str:
        return " ".join(f"No bulletin {number} on file." for number in self.not_on_file)


@anyone_in_the_shop
def numbers_asked(desk: Desk, text: str, kinds: Collection[str]) -> NumbersAsked:
    """Notes and past concerns of these kinds that a short text asks for by number."""
    of_notes = [kind.value for kind in NoteKind if kind in kinds]
    notes, missing = _notes(desk, text, of_notes) if of_notes else ((), ())
    concerns = _concerns(desk, text) if CONCERN in kinds else ()
    return NumbersAsked(notes, concerns, () if concerns else missing)


def _notes(desk: Desk, text: str, kinds: Collection[str]) -> tuple[tuple[int, ...], tuple[str, ...]]:
    """Published notes of these kinds by printed number or part of a calibration ID; numbers not on file.

    "Not on file" is said of a number alone whose letters begin a number on file: CX-5 is a vehicle.
    """
    typed, session, shop = numbers_typed(text), desk.session, desk.shop.id
    bulletins = [recall_number(one) or one for one in typed.bulletins]
    found = store.notes_numbered(session, shop, bulletins)
    numbered = [one.id for one in found if one.state == NoteState.PUBLISHED.value and one.kind in kinds]
    calibrated = [
        one
        for part in typed.calibrations
        for one in store.notes_with_calibration(session, shop, part, kinds, MOST)
    ]
    ids = tuple(dict.fromkeys((*numbered, *calibrated)))
    known = {fold_id(one.number) for one in found}
    missing = [one for one in bulletins if fold_id(one) not in known] if not ids else []
    return ids, tuple(one for one in missing if store.has_series(session, shop, _letters(one)))[:1]


def _concerns(desk: Desk, text: str) -> tuple[int, ...]:
    """Past concerns by repair order, the end of a VIN or part of a calibration ID."""
    typed, session, shop = numbers_typed(text), desk.session, desk.shop.id
    found = (
        *concern_numbers.of_repair_orders(session, shop, typed.orders, MOST),
        *concern_numbers.of_vins(session, shop, typed.vins, MOST),
        *(
            one
            for part in typed.calibrations
            for one in concern_numbers.with_calibration(session, shop, part, MOST)
        ),
    )
    return tuple(dict.fromkeys(found))


def _letters(number: str) -> str:
    match = re.match(r"[a-z]+", number.lower())
    return match[0] if match else ""


def numbered_first(index: SearchIndex, hits: list[Hit], numbers: NumbersAsked) -> list[Hit]:
    """What was asked for by number before everything else, also where no word of it matched. A note that was
    found under another of its defect is the head.
    """
    best = max((hit.score for hit in hits), default=0.0) + 1.0
    by_id: dict[Id, Hit] = {}
    for hit in hits:
        kind = CONCERN if hit.kind == CONCERN else ""
        by_id |= {(one, kind): hit for one in (hit.id, *(other for other, _ in hit.also))}
    asked = [*((one, CONCERN) for one in numbers.concerns), *((one, "") for one in numbers.notes)]
    taken = {id(by_id[one]) for one in asked if one in by_id}
    first = [_named(one, by_id.get(one), best, index) for one in asked]
    return [*first, *(hit for hit in hits if id(hit) not in taken)]


def _named(asked: Id, hit: Hit | None, score: float, index: SearchIndex) -> Hit:
    number, kind = asked
    if hit is not None and hit.id == number:
        return replace(hit, score=score, grade=Grade.STRONG)
    also = () if kind == CONCERN else index.of_one_defect(number)
    kind = kind or NoteKind.BULLETIN.value
    return Hit(number, kind, score, Grade.STRONG, Applies.CANNOT_TELL, (), also=also)
