"""Names of makes and models as the index holds them, for reading the vehicle out of what was typed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from kb.nouns.vehicles import Coverage, CoverageLine
from kb.search.belonging import TELLING
from kb.search.snapshot import Snapshot
from kb.search.vehicle.names import NamesCovered
from kb.vehicle.families import Families, families_on_file
from kb.vehicle.makes import folded_make, known_models, usual_make
from kb.words.english import english_words
from kb.words.lexicon import Lexicon
from kb.words.normalise import stem


@dataclass(frozen=True, slots=True)
class NamesOnFile:
    """The names that notes cover and the words of shop talk, as `Names` of kb/vehicle/called.py."""

    covered: Sequence[NamesCovered]
    lexicon: Lexicon

    def make_called(self, name: str) -> str:
        return next((one.makes[name] for one in self.covered if name in one.makes), "")

    def makes_begun(self, word: str) -> list[str]:
        return [make for one in self.covered for make in one.makes_begun.get(word, ())]

    def models_called(self, make: str, name: str) -> Sequence[tuple[str, str]]:
        return [found for one in self.covered for found in one.called(make, name)]

    def models_of(self, make: str) -> list[str]:
        return [name for one in self.covered for name in one.of_make.get(make, ())]

    def makers(self) -> list[str]:
        return [name for one in self.covered for name in one.makers]

    def is_maker(self, name: str) -> bool:
        return any(name in one.makers for one in self.covered)

    def may_begin(self, word: str) -> bool:
        return any(word in one.first_words for one in self.covered)

    def is_word(self, word: str) -> bool:
        return word in self.lexicon.words or english_words().is_usual(word)

    def is_thing(self, words: Sequence[str]) -> bool:
        """Whether two or three of these words in a row are a phrase for a part or a symptom."""
        stems = tuple(map(stem, words))
        runs = (stems[at : at + many] for many in (2, 3) for at in range(len(stems) - many + 1))
        concepts = self.lexicon.concepts
        return any(concepts[one].kind in TELLING for run in runs for one in self.lexicon.meanings(run))


def names_on_file(snapshot: Snapshot) -> NamesOnFile:
    """The names that all notes of a snapshot cover."""
    return NamesOnFile([part.standing.names for part in snapshot.parts], snapshot.lexicon)


def names_in_papers(on_file: Iterable[CoverageLine], lexicon: Lexicon, families: Families) -> NamesOnFile:
    """The names that lines of coverage hold, and the models that everybody knows: a paper is read on the
    first day too.
    """
    return NamesOnFile([_covered(tuple(on_file), families), everybodys_models()], lexicon)


@lru_cache(maxsize=1)
def everybodys_models() -> NamesCovered:
    """The models that everybody knows, by every way in which they may be called."""
    return _covered(known_models(), families_on_file())


def _covered(lines: Coverage, families: Families) -> NamesCovered:
    makes = {folded_make(line.make): usual_make(line.make) for line in reversed(lines)}
    return NamesCovered((CoverageLine(""), *lines), makes, families)
