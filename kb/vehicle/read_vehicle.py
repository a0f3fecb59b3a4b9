"""The vehicle that a complaint is about, read out of its own words."""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import takewhile

from kb.nouns.vehicles import Vehicle
from kb.vehicle.called import Names
from kb.vehicle.families import bare_model
from kb.vehicle.makes import folded_make, known_makes
from kb.vehicle.mentioned import Mention, mentions_in
from kb.vehicle.written import Written, engine_near, written_in

MOST_LETTERS = 6_000
"""A vehicle is named early or not at all; what is typed beyond is not looked at."""
_WORD = re.compile(r"[^\W\d_]{2,}")
_TRIM = 3
ENGINE_WITHIN = 4
"""So many words from a vehicle's name its engine is told."""


@dataclass(frozen=True, slots=True)
class ReadVehicle:
    """What was read of the vehicle, the words it was read from as typed, and where they stand in the text."""

    vehicle: Vehicle
    words: tuple[str, ...]
    places: tuple[tuple[int, int], ...]

    def rest_of(self, text: str) -> str:
        """The text without the words of the vehicle: they say nothing of what is wrong with it."""
        for begins, ends in self.places:
            text = f"{text[:begins]}{' ' * (ends - begins)}{text[ends:]}"
        return text

    def with_more(self, more: ReadVehicle | None) -> ReadVehicle:
        """With what was read of the same vehicle, as far as known, out of the rest of the text."""
        if more is None:
            return self
        both = sorted(zip((*self.places, *more.places), (*self.words, *more.words), strict=True))
        return ReadVehicle(
            replace(more.vehicle, vin=self.vehicle.vin or more.vehicle.vin),
            tuple(word for _, word in both),
            tuple(place for place, _ in both),
        )


def read_vehicle(text: str, names: Names, known: Vehicle, newest: int) -> ReadVehicle | None:
    """The vehicle that a text is about, as far as it says; None where it says none.

    Of several the one of which most is told and that is named most often, somebody's own before another's.
    `known` is what was filled in: it stands, and a text about another vehicle adds nothing to it. `newest` is
    the last model year there is.
    """
    said = written_in(text[:MOST_LETTERS], newest)
    found = [one for one in mentions_in(said, names) if _is_the_same(one, known)]
    if not found:
        return None
    best = max(found, key=lambda one: (one.worth + 3 * _named_again(one, said), -one.first))
    if best.other and not best.own:
        return None
    if (
        best.make
        and not (best.model or best.year or best.own)
        and len({folded_make(one.make) for one in found}) > 1
    ):
        return None
    same = [one for one in found if _goes_with(one, best)]
    make, model, year = best.make, best.model, best.year
    for one in same:
        make, model, year = make or one.make, model or one.model, year or one.year
    engine, of_engine = _engine(said, same)
    trims = (at for one in same if one.model for at in _trims(said, one.last, text))
    used = sorted({at for one in same for at in one.words}.union(of_engine, trims))
    vehicle = known.or_else(Vehicle(make, model, year, engine))
    return ReadVehicle(
        vehicle,
        tuple(text[said[at].begins : said[at].ends] for at in used),
        tuple((said[at].begins, said[at].ends) for at in used),
    )


def without_names(text: str, vehicle: Vehicle, words: Container[str]) -> str:
    """The text without the words of a known vehicle's make and model, wherever they stand, save those that
    are among the `words` of the trade: every note that is left is for it, and one that names it again is no
    nearer.
    """
    names = {name for name in _WORD.findall(f"{vehicle.make} {vehicle.model}".lower()) if name not in words}
    if not names:
        return text
    return _WORD.sub(lambda one: " " * len(one[0]) if one[0].lower() in names else one[0], text)


def _engine(said: Sequence[Written], mentions: Iterable[Mention]) -> tuple[str, tuple[int, ...]]:
    """The engine told behind one of the mentions, and the places of its words."""
    for one in mentions:
        engine, places = engine_near(said, one.last, one.last + ENGINE_WITHIN)
        if engine:
            return engine, places
    return "", ()


def _trims(said: Sequence[Written], last: int, text: str) -> Iterable[int]:
    """The places of the trim's words right behind a model, in capitals as they are printed: "Camry SE"."""
    behind = range(last, min(last + _TRIM, len(said)))
    trims = known_makes().trims
    return takewhile(lambda at: said[at].text in trims and not text[said[at].begins].islower(), behind)


def _named_again(one: Mention, said: Sequence[Written]) -> int:
    """How often its names stand elsewhere in the text: "the Vell died", "Tarn says"."""
    names = {said[at].text for at in one.words if said[at].text.isalpha()}
    return sum(word.text in names for at, word in enumerate(said) if at not in one.words)


def _is_the_same(one: Mention, known: Vehicle) -> bool:
    """Whether nothing that is known of the vehicle speaks against a mention."""
    if one.make and known.make and folded_make(one.make) != folded_make(known.make):
        return False
    if one.year and known.year and one.year != known.year:
        return False
    if one.model and known.model:
        make = one.make or known.make
        mine, theirs = bare_model(make, one.model), bare_model(make, known.model)
        return mine.startswith(theirs) or theirs.startswith(mine)
    return True


def _goes_with(one: Mention, best: Mention) -> bool:
    """Whether a mention is of the vehicle meant."""
    return one is best or (not one.other and _is_the_same(one, Vehicle(best.make, best.model, best.year)))
