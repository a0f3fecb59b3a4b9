"""Vehicles that a running text mentions, by the names on file and makes that everybody knows.

A name counts where it cannot be a word: a make that speaks for itself, a model that is no word, a name with
its make or its year beside it, or somebody's own ("my escape"). "Leaf spring" and "spark plug" name no car.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from kb.vehicle.called import STRAY, Made, Modelled, Names, is_make, make_at, model_at, only_make
from kb.vehicle.families import fold
from kb.vehicle.makes import is_supplier, known_makes
from kb.vehicle.written import Written, year_at

MOST = 25
"""Names looked at in one text."""
BETWEEN = 2
"""So many words may stand between year, make and model: "2021 white all new"."""
_OWNED = frozenset(
    ("my", "our", "his", "her", "their", "own", "owns", "owned", "drive", "drives", "drove", "bought",
     "leased", "lease", "rented", "purchase", "purchased", "have", "has", "had", "customers", "custs")
)  # fmt: skip
_OTHERS = frozenset(
    ("hit", "ended", "struck", "another", "traded", "trade", "previous", "former", "like", "than", "behind",
     "loaner", "rental", "friends", "neighbors", "vs", "versus")
)  # fmt: skip
_LABELS = frozenset(
    ("make", "model", "year", "my", "brand", "new", "all", "used", "the", "a", "hybrid", "electric",
     "electrified")
)  # fmt: skip
_VEHICLES = frozenset(
    ("truck", "car", "suv", "van", "pickup", "sedan", "vehicle", "coupe", "wagon", "minivan", "motorcycle",
     "model", "camper", "campervan", "motorhome", "trailer", "toyhauler")
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Mention:
    """A vehicle mentioned: what of it is said, the places of its first word and behind its last, those of all
    words that say it, and whether it is said to be somebody's own, or another one.
    """

    make: str
    model: str
    year: int | None
    first: int
    last: int
    words: tuple[int, ...]
    own: bool = False
    other: bool = False

    @property
    def worth(self) -> int:
        """The more is said of it and the more it is somebody's own, the sooner it is the one meant."""
        said = 2 * bool(self.model) + 2 * bool(self.year) + bool(self.make)
        return said + 2 * self.own - 3 * self.other


def mentions_in(said: Sequence[Written], names: Names) -> list[Mention]:
    """The vehicles named (the first few) and years that stand by themselves; some may be of one vehicle."""
    found = list(islice(_named(said, names), MOST))
    used = {at for one in found for at in one.words}
    years = (_of_year(said, at) for at in range(len(said)) if at not in used and said[at].text.isdecimal())
    return [*found, *(one for one in years if one)]


def _named(said: Sequence[Written], names: Names) -> Iterator[Mention]:
    at = since = 0
    while at < len(said):
        found = _mention_at(said, at, since, names) if _may_begin(said, at, names) else None
        if found is None:
            at += 1
        else:
            yield found
            at, since = found.last, max(found.last, max(found.words) + 1)


def _may_begin(said: Sequence[Written], at: int, names: Names) -> bool:
    """Whether a look at this word is worth it: most words of a complaint name nothing."""
    word = said[at].text
    behind = said[at + 1].text[0] if at + 1 < len(said) else ""
    if word in STRAY and not behind.isdecimal():  # "is 300" is a model
        return False
    after_number = at > 0 and said[at - 1].text.isdecimal()
    return word[0].isdecimal() or after_number or known_makes().may_begin(word) or names.may_begin(word)


def _mention_at(said: Sequence[Written], at: int, since: int, names: Names) -> Mention | None:
    """The vehicle whose name begins at a word; `since` is where the last mention ended."""
    made = make_at(said, at, names)
    of_make = _of_make(said, at, since, made, names) if made else None
    if of_make is None or not of_make.model:
        of_make = _of_make_begun(said, at, since, names) or of_make
    if of_make:
        return of_make
    model = model_at(said, at, "", names) if names.may_begin(said[at].text) else None
    if model is None:
        return None
    used = range(at, model.last)
    mention = _told(said, since, at, model.last, used, only_make(model.makes, names), model.name)
    return mention if _is_vehicle(said, mention, model, names) else None


def _of_make_begun(said: Sequence[Written], at: int, since: int, names: Names) -> Mention | None:
    """A model behind the first word of its make alone ("2019 Braun Chief"); a word only behind a year."""
    word = said[at].text
    behind_year = at > 0 and year_at(said, at - 1, short=False, beside=True) is not None
    if word in STRAY or (names.is_word(word) and not behind_year):
        return None
    begun = (Made(make, at + 1, certain=False) for make in names.makes_begun(word))
    found = (_of_make(said, at, since, one, names) for one in begun)
    return next((one for one in found if one and one.model), None)


def _of_make(said: Sequence[Written], at: int, since: int, made: Made, names: Names) -> Mention | None:
    """A make with the model behind it, if it has one; one that is a word too only with a model or a year."""
    make, start = made.make, made.last
    while start < min(made.last + BETWEEN + 1, len(said)):
        model = model_at(said, start, fold(make), names)
        if model:
            used = (*range(at, made.last), *range(start, model.last))
            inner = names.make_called(fold(model.name))  # "dodge ram 1500"
            of_inner = model_at(said, model.last, fold(inner), names) if inner and inner != make else None
            if of_inner:
                make, model, used = inner, of_inner, (*used, *range(model.last, of_inner.last))
            mention = _told(said, since, at, model.last, used, make, model.name)
            return None if is_supplier(make) and not mention.year else mention
        if said[start].text not in _LABELS and year_at(said, start, short=False) is None:
            break
        start += 1
    if any(fold(theirs) != fold(make) for theirs, _ in names.models_called("", fold(make))):
        return None  # the name of another make's model, too: "my escape"
    mention = _told(said, since, at, made.last, range(at, made.last), make, "")
    return mention if made.certain or (is_make(make, names) and (mention.year or mention.own)) else None


def _told(
    said: Sequence[Written], since: int, first: int, last: int, used: Iterable[int], make: str, model: str
) -> Mention:
    """The mention with the year before, inside or behind it, and whose it is said to be."""
    year, at = _year_near(said, since, first, last, set(used))
    begins = at if year and at < first else first
    ahead = {one.text for one in said[max(since, begins - BETWEEN - 2) : first]}
    words = (*used, at) if year else tuple(used)
    own, other = not _OWNED.isdisjoint(ahead), not _OTHERS.isdisjoint(ahead)
    return Mention(make, model, year, first, last, words, own, other)


def _year_near(
    said: Sequence[Written], since: int, first: int, last: int, used: set[int]
) -> tuple[int | None, int]:
    """The year of a name, and where it stands: shortly before it, inside, or behind it."""
    if first > since and (year := year_at(said, first - 1, short=True, beside=True)):
        return year, first - 1
    for at in (*range(first - 2, max(first - BETWEEN - 3, since - 1), -1), *range(first + 1, last)):
        year = year_at(said, at, short=False)
        if year and at not in used:
            return year, at
    for at in range(max(last, since), min(last + BETWEEN + 1, len(said))):
        year = year_at(said, at, short=False)
        if year or said[at].text in STRAY:
            return year, at
    return None, last


def _is_vehicle(said: Sequence[Written], mention: Mention, model: Modelled, names: Names) -> bool:
    """Whether a model's name without its make is meant as one."""
    words = [one.text for one in said[mention.first : model.ends]]
    name, is_own = "".join(words), "".join(words) in known_makes().own_models
    if (
        len(name) < 2
        or name in _VEHICLES
        or names.is_thing([one.text for one in said[mention.first : model.ends + 1]])
    ):
        return False
    if mention.year and max(mention.words) >= model.last and not is_own and all(map(names.is_word, words)):
        return False  # a year behind a word is of what follows: "one 2022 Vell"
    right_before = {one.text for one in said[max(0, mention.first - 2) : mention.first]}
    if mention.year or (is_own and not _OWNED.isdisjoint(right_before)):
        return True
    if is_own or not is_make(mention.make, names) or all(map(names.is_word, words)):
        return False
    return len(name) >= 3 if re.search(r"\d", name) and re.search(r"[a-z]", name) else len(name) >= 4


def _of_year(said: Sequence[Written], at: int) -> Mention | None:
    """A year by itself where it is a vehicle's: "my '19", "owns a 2021", "2017 truck", or first of all."""
    year = year_at(said, at, short=False)
    if year is None:
        return None
    ahead = [one.text for one in said[max(0, at - 2) : at]]
    behind = said[at + 1].text if at + 1 < len(said) else ""
    is_first = at == 0 and behind not in STRAY
    if _OWNED.isdisjoint(ahead) and behind not in _VEHICLES and ahead[-1:] != ["year"] and not is_first:
        return None
    return Mention("", "", year, at, at + 1, (at,), own=not _OWNED.isdisjoint(ahead))
