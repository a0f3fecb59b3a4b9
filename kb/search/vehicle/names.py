"""Names of makes and models that notes cover, by every way in which a vehicle may be called."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from kb.nouns.vehicles import Applies, CoverageLine, Vehicle
from kb.search.stored.coverage import ANY_MODEL
from kb.vehicle.coverage import model_stands
from kb.vehicle.families import Families, bare_model, fold
from kb.vehicle.makes import folded_make

NO, OTHER_MODEL, CANNOT_TELL, YES = 0, 1, 2, 3
SEVERAL = 5
_MODELS = {Applies.NO: NO, Applies.CANNOT_TELL: OTHER_MODEL, Applies.YES: YES}
_SIGNS = re.compile(r"\W")
_FIRST, _NEXT_WORD = re.compile(r"^[^\W_]+"), re.compile(r"(?<=\w)\s+(?=\w)")


class NamesCovered:
    """The makes and models that the lines of a segment name, found by what a vehicle is called."""

    def __init__(self, lines: Sequence[CoverageLine], makes: Mapping[str, str], families: Families) -> None:
        """`lines` are by number, one for each make and model; number 0 is a line for any model. `makes` are
        the makes as printed, by folded name.
        """
        self._lines, self.makes, self._families = lines, makes, families
        self._found: dict[tuple[str, str, str], list[int]] = defaultdict(list)
        for number, line in enumerate(lines):
            if number != ANY_MODEL:
                for key in _keys(line.make, line.model, families):
                    self._found[key].append(number)

    def standing_of(self, vehicle: Vehicle) -> NDArray[np.int8]:
        """By number: YES for the vehicle's model, OTHER_MODEL for others of its family, else NO."""
        answers = np.full(len(self._lines), NO, dtype=np.int8)
        answers[ANY_MODEL] = YES
        for number in self._near(vehicle):
            answers[number] = _MODELS[model_stands(self._lines[number], vehicle, self._families)]
        return answers

    def called(self, make: str, name: str) -> Iterator[tuple[str, str]]:
        """(make, model) as printed of the models called so, of a folded make or ("") any; a short name may
        mean several. Of a make also the only one that begins so.
        """
        hows = ("named", "family", "shorter") if len(name) > 2 else ("named",)
        found = [number for how in hows for number in self._found.get((make, how, name), ())]
        if make and not found and len(name) > 2:
            found += self._found.get((make, "family", self._families.read(make, name).model), ())
            begun = self._found.get((make, "begins", name), [])
            found = found or (begun if len({self._lines[at].model for at in begun}) == 1 else [])
        for number in found:
            yield self._lines[number].make, self._lines[number].model

    @cached_property
    def of_make(self) -> Mapping[str, list[str]]:
        """Folded names of the models of each folded make."""
        found: dict[str, list[str]] = defaultdict(list)
        for line in self._lines:
            make = folded_make(line.make)
            found[make].append(bare_model(make, line.model))
        return found

    @cached_property
    def makes_begun(self) -> Mapping[str, list[str]]:
        """By its first word each make, as printed, that goes on behind it: "IC" for "IC BUS"."""
        found: dict[str, list[str]] = defaultdict(list)
        for make in self.makes.values():
            first = _FIRST.match(make.casefold())
            if first and first[0] != make.casefold():
                found[first[0]].append(make)
        return found

    @cached_property
    def makers(self) -> frozenset[str]:
        """Folded makes of which so many models are on file that they make vehicles, not one part of them."""
        return frozenset(make for make, models in self.of_make.items() if len(set(models)) >= SEVERAL)

    @cached_property
    def first_words(self) -> frozenset[str]:
        """Words that a make or model may begin with, and the whole names folded."""
        written = (*self.makes.values(), *(line.model for line in self._lines))
        first = {word for name in written for word in _FIRST.findall(name.casefold())}
        return frozenset(first | {name for make, _, name in self._found if not make} | self.makes.keys())

    def _near(self, vehicle: Vehicle) -> Iterator[int]:
        """Numbers of the models that may be the vehicle's, some twice."""
        make = folded_make(vehicle.make)
        name, family = bare_model(make, vehicle.model), self._families.read(make, vehicle.model)
        wanted = [("named", name), ("named", make + name), ("shorter", family.model)]
        wanted += [("family", model) for model in (family.model, *family.shorter)]
        for what, said in wanted:
            yield from self._found.get((make, what, said), ())
        if make:  # a line for any make is read as one of the vehicle's
            yield from self._found.get(("", "makeless", ""), ())


def _keys(make: str, model: str, families: Families) -> Iterator[tuple[str, str, str]]:
    """What a model is found by: under its make, and under none by a vehicle whose make is not known."""
    own = folded_make(make)
    for asked in {own, ""}:
        name, family = bare_model(own, model), families.read(asked, model)
        for said in {name, own + name, _SIGNS.sub("", name)}:
            yield asked, "named", said
        yield asked, "family", family.model
        for shorter in family.shorter:
            yield asked, "shorter", shorter
        if asked:
            yield from ((asked, "begins", fold(model[: one.start()])) for one in _NEXT_WORD.finditer(model))
    if not own:
        yield "", "makeless", ""
