"""Notes on the same thing as one that is being written: why they are taken for it, and what differs.

Same thing = the same printed number, the same calibration IDs, one defect by what their texts name, or the
same said in nearly the same words, each within one make; the last only where both may be for one vehicle.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from enum import IntEnum

from kb.nouns.notes import Note, NoteDraft
from kb.nouns.vehicles import Applies, Coverage, CoverageLine, Vehicle, fold_id
from kb.vehicle.coverage import model_stands
from kb.vehicle.families import Families
from kb.vehicle.makes import folded_make

MOST = 5
_FIRST_YEAR, _LAST_YEAR = 0, 9_999


class SameBy(IntEnum):
    """Why two notes are taken for the same, the surest first."""

    NUMBER = 1
    CALIBRATIONS = 2
    DEFECT = 3
    WORDS = 4


@dataclass(frozen=True, slots=True)
class Differs:
    """What one of two notes says otherwise: the field, what stands only here and what only there."""

    field: str
    here: tuple[str, ...]
    there: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Alike:
    """A note on the same thing: why, the surest first, and what differs; none where it says just the same."""

    note: Note
    why: tuple[SameBy, ...]
    differs: tuple[Differs, ...]


@dataclass(frozen=True, slots=True)
class Looked:
    """What was found for a draft: ids of notes of its defect, and how much alike others say what is wrong."""

    defect: Collection[int] = ()
    words: Mapping[int, float] = field(default_factory=dict)


def alike(
    draft: NoteDraft,
    others: Iterable[Note],
    looked: Looked,
    families: Families,
) -> tuple[Alike, ...]:
    """The notes on the same thing among `others`, surest first, at most MOST."""
    found = []
    for note in others:
        why = tuple(_why(draft, note, looked, families))
        if why:
            found.append(Alike(note, why, differences(draft, note.content)))
    found.sort(key=lambda one: (one.why[0], -len(one.why), -looked.words.get(one.note.id, 0.0), one.note.id))
    return tuple(found[:MOST])


def _why(draft: NoteDraft, note: Note, looked: Looked, families: Families) -> Iterable[SameBy]:
    theirs = note.content
    if not _share_a_make(draft.coverage, theirs.coverage):
        return
    if fold_id(draft.number) and fold_id(draft.number) == fold_id(theirs.number):
        yield SameBy.NUMBER
    if _installs(draft) & _installs(theirs):
        yield SameBy.CALIBRATIONS
    if note.id in looked.defect:
        yield SameBy.DEFECT
    if note.id in looked.words and overlap(draft.coverage, theirs.coverage, families):
        yield SameBy.WORDS


def overlap(mine: Coverage, theirs: Coverage, families: Families) -> bool:
    """Whether one vehicle may be meant by both; coverage that says nothing rules nothing out."""
    if not mine or not theirs:
        return True
    return any(_lines_overlap(one, other, families) for one in mine for other in theirs)


def _lines_overlap(one: CoverageLine, other: CoverageLine, families: Families) -> bool:
    if folded_make(one.make) != folded_make(other.make):
        return False
    theirs = Vehicle(other.make, other.model)
    if one.model and other.model and model_stands(one, theirs, families) is Applies.NO:
        return False
    years, others = (line.years or ((_FIRST_YEAR, _LAST_YEAR),) for line in (one, other))
    return any(a <= last and first <= b for a, b in years for first, last in others)


def _share_a_make(mine: Coverage, theirs: Coverage) -> bool:
    makes, others = ({folded_make(line.make) for line in some if line.make} for some in (mine, theirs))
    return bool(makes & others) or not (makes and others)


def _installs(draft: NoteDraft) -> set[tuple[str, str]]:
    """(module, new ID) of its steps, as compared."""
    return {(fold_id(step.module), fold_id(step.new_id)) for step in draft.steps if fold_id(step.new_id)}


def differences(mine: NoteDraft, theirs: NoteDraft) -> tuple[Differs, ...]:
    """What a reader must compare: number, title, vehicles, calibration IDs and codes."""
    pairs = (
        ("number", *_apart((mine.number,), (theirs.number,), fold_id)),
        ("title", *_apart((mine.title,), (theirs.title,), _plain)),
        ("vehicles", *_apart(_vehicles(mine), _vehicles(theirs), _plain)),
        ("calibration IDs", *_apart(_ids(mine), _ids(theirs), fold_id)),
        ("codes", *_apart(map(str, mine.codes), map(str, theirs.codes), fold_id)),
    )
    return tuple(Differs(field, here, there) for field, here, there in pairs if here or there)


def _apart(
    mine: Iterable[str], theirs: Iterable[str], folded: Callable[[str], str]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    here, there = ({folded(one): one for one in some if one.strip()} for some in (mine, theirs))
    only_here = tuple(one for key, one in here.items() if key not in there)
    return only_here, tuple(one for key, one in there.items() if key not in here)


def _vehicles(draft: NoteDraft) -> Iterable[str]:
    return (line.said for line in draft.coverage)


def _ids(draft: NoteDraft) -> Iterable[str]:
    for step in draft.steps:
        yield from (f"{step.module} {one}" for one in (*step.old_ids, step.new_id))


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()
