"""What a search found as it is shown: notes with whether they apply, past concerns with how they ended."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.concern.concern_lines import concern_lines
from kb.desk.bay.outcomes.records_of_updates import records_of
from kb.desk.bay.search import families
from kb.desk.bay.search.entries import CONCERN
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.advice import CureRecord
from kb.nouns.bay.concern_file import ConcernLine
from kb.nouns.notes import Grade
from kb.nouns.vehicles import Applies, Coverage, Vehicle
from kb.records.store.bay.searching import published_notes
from kb.records.store.notes import updates as update_store
from kb.search.query import Hit, Why
from kb.vehicle.coverage import CoverageReading, applies_to_query, applies_to_recorded, in_short
from kb.vehicle.replaced import below_their_replacements, standing_in


@dataclass(frozen=True, slots=True)
class SameDefect:
    """Another note of a result's defect."""

    id: int
    number: str
    title: str


@dataclass(frozen=True, slots=True)
class SearchResult:
    """One result as it is shown. `standing` says in words whether the note applies; `ending`, `other_cause`
    and `counted` are of a past concern, as in its line. `met` are all the typed words that it holds, `also`
    other notes of the same defect, `replaced_by` those that say they replace it, `vehicles` whose note it is
    """

    kind: str
    id: int
    number: str
    title: str
    score: float
    grade: Grade
    applies: Applies
    standing: str
    why: tuple[Why, ...]
    record: CureRecord | None = None
    is_update: bool = False
    ending: str = ""
    other_cause: str = ""
    counted: str = ""
    about: bool = False
    met: tuple[str, ...] = ()
    also: tuple[SameDefect, ...] = ()
    replaced_by: tuple[SameDefect, ...] = ()
    vehicles: str = ""


@dataclass(frozen=True, slots=True)
class Wanted:
    """For which vehicle results are read, on record or merely told of, and which are shown though they are
    for another: all, or notes asked for by their number.
    """

    vehicle: Vehicle
    recorded: bool = False
    everything: bool = False
    numbered: Collection[int] = ()


@dataclass(frozen=True, slots=True)
class NoteFound:
    """What a list shows of a published note, and what it is for."""

    id: int
    kind: str
    number: str
    title: str
    coverage: Coverage
    is_update: bool


def results_of(desk: Desk, hits: Sequence[Hit], wanted: Wanted) -> tuple[SearchResult, ...]:
    """Results as shown; what does not apply is left out unless asked for, or named by its number."""
    note_ids = [one for hit in hits if hit.kind != CONCERN for one in _group(hit)]
    notes = _found(desk, note_ids)
    lines = concern_lines(desk, [hit.id for hit in hits if hit.kind == CONCERN])
    records = records_of(desk, [note.id for note in notes.values() if note.is_update])
    results = []
    for hit in hits:
        if hit.kind != CONCERN:
            group = [notes[one] for one in _group(hit) if one in notes]
            results.append(_note(desk, hit, group, records, wanted))
        elif hit.id in lines:
            results.append(_past(hit, lines[hit.id]))
    return with_replaced_below(desk, [one for one in results if one is not None])


def with_replaced_below(desk: Desk, results: Sequence[SearchResult]) -> tuple[SearchResult, ...]:
    """A note that another one replaces says so, and comes behind those of them that are found too."""
    known = updates_desk.on_file(desk).replaced
    ids = [None if one.kind == CONCERN else one.id for one in results]
    by = {one: standing_in(one, known) for one in ids if one is not None and one in known}
    if not by:
        return tuple(results)
    named = {row.id: SameDefect(row.id, row.number, row.title) for row in _published(desk, by.values())}
    newer = {one: tuple(named[new] for new in news if new in named) for one, news in by.items()}
    order = below_their_replacements(ids, known)
    return tuple(replace(results[at], replaced_by=newer.get(ids[at] or 0, ())) for at in order)


def _published(desk: Desk, ids: Iterable[Iterable[int]]) -> Sequence[Any]:
    return published_notes(desk.session, desk.shop.id, sorted({one for some in ids for one in some}))


@anyone_in_the_shop
def vehicles_of(desk: Desk, note_ids: Sequence[int]) -> dict[int, str]:
    """Whose note each is, in few words."""
    lines = update_store.coverage(desk.session, note_ids)
    return {note_id: in_short(its) for note_id, its in lines.items()}


def _found(desk: Desk, ids: Sequence[int]) -> dict[int, NoteFound]:
    coverage = update_store.coverage(desk.session, ids)
    updates = updates_desk.on_file(desk).by_id
    return {
        row.id: NoteFound(
            row.id, row.kind, row.number, row.title, coverage.get(row.id, ()), row.id in updates
        )
        for row in published_notes(desk.session, desk.shop.id, ids)
    }


def _group(hit: Hit) -> list[int]:
    """Ids of the note of a hit and of those of its defect."""
    return [hit.id, *(other for other, _ in hit.also)]


def _past(hit: Hit, line: ConcernLine) -> SearchResult:
    standing = (
        CoverageReading(hit.applies).sentence if hit.applies is not Applies.CANNOT_TELL else "can't tell"
    )
    return SearchResult(
        hit.kind,
        hit.id,
        line.ref,
        line.complaint,
        hit.score,
        hit.grade,
        hit.applies,
        standing,
        hit.why,
        met=hit.met,
        ending=line.ending,
        other_cause=line.other_cause,
        counted=line.counted,
    )


def _note(
    desk: Desk, hit: Hit, group: Sequence[NoteFound], records: Mapping[int, CureRecord], wanted: Wanted
) -> SearchResult | None:
    """The note of a hit, or where it is not for the vehicle the next one of its defect that is."""
    for note in group:
        reading = _reading(desk, note.coverage, wanted)
        if reading.applies is not Applies.NO or wanted.everything or note.id in wanted.numbered:
            also = tuple(_named(other) for other in group if other is not note)
            return _result(hit, note, reading, records.get(note.id), also)
    return None


def _result(
    hit: Hit,
    note: NoteFound,
    reading: CoverageReading,
    record: CureRecord | None,
    also: tuple[SameDefect, ...],
) -> SearchResult:
    """The reasons are those of the note that was found."""
    return SearchResult(
        note.kind,
        note.id,
        note.number,
        note.title,
        hit.score,
        hit.grade,
        reading.applies,
        reading.sentence,
        hit.why if note.id == hit.id else (),
        record,
        is_update=note.is_update,
        about=hit.is_about,
        met=hit.met if note.id == hit.id else (),
        also=also,
        vehicles=in_short(note.coverage),
    )


def _named(note: NoteFound) -> SameDefect:
    return SameDefect(note.id, note.number, note.title)


def _reading(desk: Desk, coverage: Coverage, wanted: Wanted) -> CoverageReading:
    """The exact answer of the coverage, where the index knows make, model and year only."""
    rule = applies_to_recorded if wanted.recorded else applies_to_query
    return rule(coverage, wanted.vehicle, families.in_force(desk))
