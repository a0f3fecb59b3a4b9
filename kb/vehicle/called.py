"""What makes and models are called: the names that begin at a word of a running text."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple, Protocol

from kb.vehicle.families import families_on_file, fold
from kb.vehicle.makes import is_known, is_supplier, known_makes, likely
from kb.vehicle.written import Written, is_measure, year_at

MANY = 20
"""A make with so many models on file speaks for itself, if its name is no word."""
_SERIES = re.compile(r"([a-z]{2,3})\d{1,2}")
"""A model with a figure of its own behind it: "MD7" of the MD."""
LONGEST = 4
"""Words that a model's name has at most."""
_SHORT_FOR = {("super", "duty"): "sd", ("heavy", "duty"): "hd", ("plug", "in"): "phev"}
"""Words of a variant that names on file say in letters: "F-250 Super Duty"."""
_VARIANT = frozenset(("hybrid", "phev", "hev", "ev", "hd"))
STRAY = frozenset(
    ("a", "an", "the", "is", "am", "are", "was", "it", "in", "as", "or", "to", "so", "of", "on", "at", "be",
     "by", "we", "us", "me", "he", "and", "s", "i", "t", "no", "up", "go", "if", "do", "model", "models",
     "make", "year")
)  # fmt: skip


class Names(Protocol):
    """What is on file: makes and models by folded names, and which words are words."""

    def make_called(self, name: str) -> str:
        """The make as printed, or empty."""

    def makes_begun(self, word: str) -> list[str]:
        """The makes as printed whose names begin with this word and go on."""

    def models_called(self, make: str, name: str) -> Sequence[tuple[str, str]]:
        """(make, model) as printed of the models called so, of a folded make or of any; a short name that
        several models share ("silverado" of 1500 and 2500) counts too.
        """

    def models_of(self, make: str) -> list[str]:
        """Folded names of the models of a folded make."""

    def makers(self) -> list[str]:
        """Folded makes with several models on file."""

    def is_maker(self, name: str) -> bool:
        """Whether a folded make is one of them."""

    def may_begin(self, word: str) -> bool:
        """Whether a make or model on file may begin with this word; only to be quick."""

    def is_word(self, word: str) -> bool:
        """Whether people write it and mean no vehicle."""

    def is_thing(self, words: Sequence[str]) -> bool:
        """Whether these words name a part or a symptom."""


class Made(NamedTuple):
    """A make, where its name ends, and whether it speaks for itself."""

    make: str
    last: int
    certain: bool


class Modelled(NamedTuple):
    """A model as printed, the makes that have one called so, where its name ends, and where a variant may."""

    name: str
    makes: tuple[str, ...]
    ends: int
    last: int


def make_at(said: Sequence[Written], at: int, names: Names) -> Made | None:
    known = known_makes()
    for length in range(min(3, len(said) - at), 0, -1):
        name = _joined(said, at, length)
        printed = known.printed.get(name, "")
        make = names.make_called(name) or (printed and (names.make_called(fold(printed)) or printed))
        if make and not (length == 1 and name in STRAY):
            is_name = not names.is_word(name) and len(names.models_of(fold(make))) >= MANY
            return Made(make, at + length, name in known.sure or (is_name and not is_supplier(make)))
    word = said[at].text
    after_year = at > 0 and year_at(said, at - 1, short=False) is not None
    if after_year and not names.is_word(word) and not names.models_called("", word):
        name = likely(word, [*known.printed, *names.makers()])
        make = known.printed.get(name, name)
        return Made(names.make_called(fold(make)) or make, at + 1, certain=True) if make else None
    return None


def model_at(said: Sequence[Written], at: int, make: str, names: Names) -> Modelled | None:
    """The model of a folded make, or ("") of any, that begins at a word; the longest name on file."""
    for length in range(min(LONGEST, len(said) - at), 0, -1):
        words = [one.text for one in said[at : at + length]]
        name, models = "".join(words), _models_called(said, at, words, make, names)
        if not models and make and length == 1 and not names.is_word(name):
            series = _SERIES.fullmatch(name)
            name = likely(name, names.models_of(make)) or (series[1] if series else "")
            models = names.models_called(make, name) if name else ()
        if models:
            two = tuple(one.text for one in said[at + length : at + length + 2])
            longer = names.models_called(make, name + _SHORT_FOR[two]) if two in _SHORT_FOR else ()
            if longer:
                return Modelled(longer[0][1], tuple(one for one, _ in longer), at + length, at + length + 2)
            last = at + length
            last += last < len(said) and said[last].text in _VARIANT
            printed = _as_printed(known_makes().slips.get(name, name), models)
            more = "".join(f" {one.text}" for one in said[at + length : last])
            printed += more.upper() if printed.isupper() else more.title()
            return Modelled(printed, tuple(one for one, _ in models), at + length, last)
    return None


def _models_called(
    said: Sequence[Written], at: int, words: Sequence[str], make: str, names: Names
) -> Sequence[tuple[str, str]]:
    """The models that some words name; a figure that is a year or counts something is none."""
    name = "".join(words)
    name = known_makes().slips.get(name, name) if make else name
    models = names.models_called(make, name)
    if not models or all(word in STRAY for word in words) or (len(words) > 1 and names.is_thing(words)):
        return ()
    if name.isdigit() and (not make or is_measure(said, at) or year_at(said, at, short=False)):
        return ()
    return models


def is_make(make: str, names: Names) -> bool:
    """Whether a make makes vehicles: everybody knows it, or several of its models are on file."""
    return is_known(make) or (names.is_maker(fold(make)) and not is_supplier(make))


def only_make(makes: Sequence[str], names: Names) -> str:
    """The make of a model: the only one that has it, that makes vehicles, or that everybody knows, or the one
    of far more models.
    """
    different = {fold(make): make for make in makes}
    makers = [make for make in different.values() if is_make(make, names)]
    makers = [make for make in makers if is_known(make)] or makers
    if len(different) == 1 or len(makers) == 1:
        return (makers or makes)[0]
    by_models = sorted((len(names.models_of(fold(make))), make) for make in makers)
    return by_models[-1][1] if by_models and by_models[-1][0] > 2 * by_models[-2][0] else ""


def _as_printed(name: str, models: Sequence[tuple[str, str]]) -> str:
    """The model as a note prints it, or the beginning of it that was said, if that is of its family."""
    for make, model in models:
        for ends in range(len(model), 0, -1):
            if fold(model[:ends]) == name and not model[ends : ends + 1].isalnum():
                said = model[:ends].strip()
                return said if families_on_file().related(make, said, model) else model
    return models[0][1]


def _joined(said: Sequence[Written], at: int, length: int) -> str:
    return "".join(one.text for one in said[at : at + length])
