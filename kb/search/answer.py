"""One search: read, score, filter by coverage, pick the best, say why."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import islice

from kb.nouns.notes import Grade
from kb.search.about import Asked
from kb.search.closely import Close, qualifying_of
from kb.search.matching import Worth
from kb.search.query import KINDS, Correction, Hit, Query, SearchAnswer, Why
from kb.search.ranking import Level, Postings, rarity
from kb.search.reading import Read, read
from kb.search.same.one_defect import best_of_each
from kb.search.scoring import Found, best_of, level_of, scored, shows_all
from kb.search.snapshot import Snapshot
from kb.search.stored.columns import CONCERN
from kb.search.vehicle.names import NO
from kb.search.vehicle.names_on_file import names_on_file
from kb.search.vehicle.standing import APPLIES
from kb.search.weights import Weights
from kb.search.why.beside import Beside
from kb.search.why.reasons import Reasons
from kb.vehicle.read_vehicle import read_vehicle, without_names
from kb.words.normalise import words

NOTHING_TYPED = "Type a symptom, a part or a trouble code to search."
NOTHING_TELLING = "Nothing in that to search for. Add a symptom, a part or a trouble code."
NOTHING_FOUND = "Nothing on file matches that. Try other words."
NOTHING_ABOUT = "Nothing on file is about this. What comes nearest is shown."
NOTHING_APPLIES = (
    "Nothing on file matches that for this vehicle. Leave the vehicle out to see other vehicles."
)

_LOOKS_UP = 2
"""So few words may be looked up; more of them tell something, whatever the shop talk knows of it."""
SPARE = 2
"""This many times the results asked for are looked at: some may hold too little of what was typed."""


def answer(snapshot: Snapshot, query: Query) -> SearchAnswer:
    """Results of a query on a snapshot, for the vehicle that its text tells where none was filled in."""
    read = None
    if query.reads_vehicle:
        read = snapshot.once(
            "vehicle",
            (query.text, query.vehicle, query.newest_year),
            lambda: read_vehicle(query.text, names_on_file(snapshot), query.vehicle, query.newest_year),
        )
    named, rest = (read.vehicle, read.rest_of(query.text)) if read else (query.vehicle, query.text)
    rest = without_names(rest, named, snapshot.lexicon.words)
    told = replace(query, text=rest if words(rest) or query.codes else query.text)
    if read is None or query.recorded:
        return _answered(snapshot, told)
    return replace(_answered(snapshot, replace(told, vehicle=read.vehicle)), read=read)


def _answered(snapshot: Snapshot, query: Query) -> SearchAnswer:
    weights = snapshot.weights.where(query.knows_vehicle)
    key = (query.text, query.codes, query.as_typed, query.knows_vehicle)
    asked = snapshot.once("words", key, lambda: _read(snapshot, query, weights))
    corrections = tuple(Correction(typed, read_as) for typed, read_as in asked.corrections)
    if not asked.terms:
        typed = query.text.strip() or any(code.strip() for code in query.codes)
        return SearchAnswer((), corrections, NOTHING_TELLING if typed else NOTHING_TYPED, asked.denied)
    tables = [[snapshot.postings(part, term.key) for term in asked.terms] for part in snapshot.parts]
    rare = _rarities(snapshot, tables, query)
    factors = [term.factor * worth**weights.sharpness for term, worth in zip(asked.terms, rare, strict=True)]
    sums = [scored(part, table, factors) for part, table in zip(snapshot.parts, tables, strict=True)]
    level = level_of(snapshot.parts, sums)
    found = [
        hit
        for part, table, scores in zip(snapshot.parts, tables, sums, strict=True)
        for hit in best_of(part, table, factors, asked.terms, scores, query, weights)
    ]
    found.sort(key=lambda hit: (-hit.score, hit.kind, hit.key))
    most = max(query.limit, 0) * SPARE
    likely, also = best_of_each(snapshot, found, most) if query.joins_defects else (found[:most], {})
    by_itself = Asked.of(asked.terms, snapshot.lexicon.concepts)
    hits = _explained(snapshot, asked, by_itself, factors, rare, likely, level, query)
    shown = tuple(islice(hits, max(query.limit, 0)))
    if also:
        shown = tuple(replace(hit, also=also[hit.id, hit.kind]) for hit in shown)
    return SearchAnswer(shown, corrections, _message(shown, query, by_itself), asked.denied)


def _read(snapshot: Snapshot, query: Query, weights: Weights) -> Read:
    speller = snapshot.speller.sparing(word for text in query.as_typed for word in words(text))
    return read(query.text, query.codes, snapshot.lexicon, speller, weights)


def _rarities(snapshot: Snapshot, tables: Sequence[Sequence[Postings]], query: Query) -> list[float]:
    """How rare each term is among notes, whatever past concerns say: a complaint that is heard every day
    must not make the bulletin about it hard to find. Among concerns where nothing else is asked for.
    """
    segments = [part.segment for part in snapshot.parts]
    notes = sum(segment.notes for segment in segments)
    everything = sum(segment.size for segment in segments)
    counted = [list(map(seg.in_notes, table)) for seg, table in zip(segments, tables, strict=True)]
    in_notes = list(map(sum, zip(*counted, strict=True)))
    if notes and set(query.kinds) != {"concern"}:
        return [rarity(many, notes) for many in in_notes]
    in_all = (sum(map(len, terms)) for terms in zip(*tables, strict=True))
    return [rarity(many - told, everything - notes) for many, told in zip(in_all, in_notes, strict=True)]


def _message(shown: Sequence[Hit], query: Query, asked: Asked) -> str:
    """Why nothing is shown, or that nothing shown is about what was typed. A word or two without a symptom
    ("reprogram") look a note up by what it says; a note can be just that and about no complaint.
    """
    vehicle = query.vehicle
    if not shown:
        return NOTHING_APPLIES if vehicle.make or vehicle.model or vehicle.year else NOTHING_FOUND
    asks = bool(asked.symptoms) or len(query.text.split()) > _LOOKS_UP
    return NOTHING_ABOUT if asks and not any(hit.is_about for hit in shown) else ""


def _explained(
    snapshot: Snapshot,
    asked: Read,
    by_itself: Asked,
    factors: Sequence[float],
    rare: Sequence[float],
    likely: Sequence[Found],
    level: Level,
    query: Query,
) -> Iterable[Hit]:
    """The likely ones that are results, with grade and reasons, in the order given."""
    model_known = bool(query.vehicle.make and query.vehicle.model)
    looks_up = len(query.text.split()) <= _LOOKS_UP
    worth, reasons = Worth.of(asked), Reasons(snapshot, asked.terms, rare, level.notes)
    best, after = ((*(one.score for one in likely), 0.0, 0.0))[:2]
    for found in likely:
        close = Close.of(found.together, found.column)
        met = [at for at, holds in enumerate(close.holds) if holds]
        matched = worth.match(met)
        about = qualifying_of(snapshot, found.part, found.note, close, by_itself)
        grade = matched.grade(
            held=found.held,
            of_best=level.of_best(found.plain),
            about=bool(about),
            above=level.above(found.plain),
            notes=level.notes,
            for_vehicle=model_known and found.standing != NO,
        )
        counts = matched.counts if looks_up or found.kind != CONCERN else matched.is_alike
        if counts or about or (shows_all(query) and found.kind != CONCERN):
            adds = [factor * impact for factor, impact in zip(factors, close.impacts, strict=True)]
            held = worth.share_of_words(met)
            beside = Beside(found.score / best, after / best, held, matched.in_full, query.knows_vehicle)
            why = reasons.of(found.part.segment, found.note, close, adds, about, beside)
            typed = tuple(dict.fromkeys([asked.terms[at].typed for at in met]))
            yield _hit(found, grade, why, bool(about), typed)


def _hit(found: Found, grade: Grade, why: tuple[Why, ...], about: bool, typed: tuple[str, ...]) -> Hit:
    kind, applies = KINDS[found.kind], APPLIES[found.standing]
    return Hit(found.key, kind, found.score, grade, applies, why, about, typed)
