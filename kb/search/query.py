"""What goes into the search and what comes out of it."""

from __future__ import annotations

from dataclasses import dataclass, field

from kb.nouns.model_years import LATEST_YEAR
from kb.nouns.notes import Grade
from kb.nouns.vehicles import Applies, Coverage, Vehicle
from kb.vehicle.read_vehicle import ReadVehicle

Id = tuple[int, str]
"""Of a note or past concern: its id and kind."""
KINDS = ("bulletin", "lesson", "concern", "update")
"""An update is a bulletin that installs a calibration; it is found by itself for advice."""


@dataclass(frozen=True, slots=True)
class IndexEntry:
    """A note or a past concern as the index takes it. `id` is unique within its `kind`.

    `documents` are further texts of the same note (a recall has several); `codes` trouble codes,
    `modules` module names or abbreviations, `coverage` what the note is for (a concern's own vehicle).
    What a note is about stands in its title, symptom, and the head of each document; never in its conditions.
    Entries with a key of `same_as` in common are of one defect.
    """

    id: int
    kind: str
    title: str = ""
    symptom: str = ""
    conditions: str = ""
    body: str = ""
    documents: tuple[str, ...] = ()
    codes: tuple[str, ...] = ()
    modules: tuple[str, ...] = ()
    coverage: Coverage = ()
    same_as: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Query:
    """A complaint as typed, trouble codes, and what is known of the vehicle.

    `recorded` says that the vehicle is one on file: a field it lacks is then unknown (`cannot_tell`), while
    a field that a typed query leaves out asks nothing. `kinds` empty means all. Words of `as_typed` are
    taken as they stand: no spelling is put right in them. `among` are ids, where only those are asked about.
    `reads_vehicle` says that what the text tells of the vehicle counts as if it were filled in; to one on
    record it adds nothing, and its words are not searched for; a figure above `newest_year` is no model year.
    `joins_defects`: of notes of one defect the
    best is a result, with the others under it.
    """

    text: str = ""
    codes: tuple[str, ...] = ()
    vehicle: Vehicle = field(default_factory=Vehicle)
    recorded: bool = False
    kinds: tuple[str, ...] = ()
    limit: int = 10
    include_not_applying: bool = False
    as_typed: tuple[str, ...] = ()
    among: tuple[int, ...] = ()
    reads_vehicle: bool = True
    newest_year: int = LATEST_YEAR
    joins_defects: bool = False

    @property
    def knows_vehicle(self) -> bool:
        """Whether anything of a vehicle is known, or one on file is asked for."""
        return self.recorded or bool(self.vehicle.make or self.vehicle.model or self.vehicle.year)


@dataclass(frozen=True, slots=True)
class Why:
    """One reason for a result: the words typed, what they were read as, the words of the note, and how.

    `through` is "as typed", "spelling", "code", "related code" or the name of a lexicon concept.
    """

    typed: str
    read_as: str
    matched: str
    through: str


@dataclass(frozen=True, slots=True)
class Hit:
    """One result. `score` orders results of one answer; it means nothing across answers.

    `about` says that its symptoms are those typed (kb/search/about.py), for which an update is offered.
    `met` are all the typed words that it holds, whether or not they convince (kb/search/why/reasons.py).
    `also` are the others of its defect, those found as well in their order, then the rest.
    """

    id: int
    kind: str
    score: float
    grade: Grade
    applies: Applies
    why: tuple[Why, ...]
    about: bool = False
    met: tuple[str, ...] = ()
    also: tuple[Id, ...] = ()

    @property
    def is_about(self) -> bool:
        """Whether it is about what was typed: by its symptoms, or because it holds so much of it."""
        return self.about or self.grade is not Grade.WEAK


@dataclass(frozen=True, slots=True)
class Correction:
    """A typed word that was read as another."""

    typed: str
    read_as: str


@dataclass(frozen=True, slots=True)
class SearchAnswer:
    """Results best first; `message` says why there are none, or that none is about what was typed; `denied`
    what was typed as not so; `read` which vehicle was read out of the text and used.
    """

    results: tuple[Hit, ...]
    corrections: tuple[Correction, ...] = ()
    message: str = ""
    denied: tuple[str, ...] = ()
    read: ReadVehicle | None = None
