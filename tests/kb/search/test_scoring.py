"""The notes that score highest, against a slow obvious twin that goes through all of them one by one."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.nouns.vehicles import CoverageLine, Vehicle
from kb.search import ranking
from kb.search.index import SearchIndex
from kb.search.query import KINDS, IndexEntry, Query
from kb.search.ranking import FAINT
from kb.search.reading import Term
from kb.search.scoring import REST, best_of, scored
from kb.search.snapshot import Part, Snapshot
from kb.search.vehicle.names import NO
from kb.words.concepts import Concept, phrase_stems
from kb.words.lexicon import make_lexicon
from kb.words.normalise import stem

WORDS = ("stall", "judder", "wiper", "update", "highway", "zinc")
MODELS = ("Vell", "Comet", "")
LEXICON = make_lexicon([Concept(ranking.REMEDY, "action", frozenset({phrase_stems("update")}))])
UNITS = (0, 0, 1, 2, 3, 2)
"""The typed word that each of WORDS is a reading of."""
FACTORS = [0.9, 0.01, 1.3, 0.5, 0.02, 2.0]

entries = st.builds(
    IndexEntry,
    st.integers(1, 25),
    st.sampled_from(KINDS),
    title=st.lists(st.sampled_from(WORDS), max_size=4).map(" ".join),
    body=st.lists(st.sampled_from(WORDS), min_size=1, max_size=9).map(" ".join),
    coverage=st.lists(st.sampled_from(MODELS).map(lambda model: CoverageLine("Tarn", model)), max_size=1).map(
        tuple
    ),
)
queries = st.builds(
    Query,
    vehicle=st.sampled_from((Vehicle(), Vehicle("Tarn"), Vehicle("Tarn", "Vell"), Vehicle("Norvane", "Iro"))),
    recorded=st.booleans(),
    kinds=st.sampled_from(((), ("bulletin", "lesson"), ("concern",))),
    include_not_applying=st.booleans(),
    among=st.sampled_from(((), tuple(range(2, 20)))),
)


def one_by_one(snapshot: Snapshot, part: Part, query: Query) -> dict[int, float]:
    """Score by note, of all that score anything."""
    weights, scores = snapshot.weights.where(query.knows_vehicle), {}
    eligible = part.standing.eligible(query.vehicle, query.recorded)
    lifts = (weights.not_applying, weights.other_model, weights.cannot_tell, 1.0)
    stands = (
        {}
        if eligible is None
        else dict(zip(eligible.notes.tolist(), eligible.standing.tolist(), strict=True))
    )
    for note in set(range(part.segment.size)) - set(part.dead):
        number, kind = part.identity(note)
        stand = stands.get(note, NO)
        if (query.kinds and kind not in query.kinds) or (query.among and number not in query.among):
            continue
        if eligible is not None and stand == NO and not query.include_not_applying:
            continue
        held = {
            word: factor * float(term.impacts[term.notes.tolist().index(note)])
            for word, factor in zip(WORDS, FACTORS, strict=True)
            for term in [snapshot.postings(part, ("word", stem(word)))]
            if note in term.notes
        }
        loud = any(FACTORS[WORDS.index(word)] > FAINT * sum(FACTORS) for word in held)
        shown = query.vehicle.model and not query.recorded
        if not (loud or (shown and stand != NO and kind != "concern")):
            continue  # faint terms alone find nothing
        power = weights.overlap
        score = sum(
            sum(add**power for add in by_word if add) ** (1 / power)
            for by_word in (
                [held[word] for word, unit in zip(WORDS, UNITS, strict=True) if unit == one and word in held]
                for one in set(UNITS)
            )
        )
        score += REST if shown else 0
        score *= float(part.worth[eligible is not None][note]) * (1 if eligible is None else lifts[stand])
        scores[note] = score
    return scores


@settings(max_examples=50, deadline=None)
@given(st.lists(entries, min_size=1, max_size=30, unique_by=lambda one: (one.id, one.kind)), queries)
def test_the_best_of_a_file_are_those_that_reading_note_by_note_finds(
    notes: list[IndexEntry], query: Query
) -> None:
    index = SearchIndex.build(notes, LEXICON)
    for gone in notes[::5]:
        index.remove(gone.id, gone.kind)
    snapshot = index._snapshot
    (part,) = snapshot.parts
    weights = snapshot.weights.where(query.knows_vehicle)
    table = [snapshot.postings(part, ("word", stem(word))) for word in WORDS]
    terms = [
        Term(("word", word), 1, word, word, "as typed", unit) for word, unit in zip(WORDS, UNITS, strict=True)
    ]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ranking, "FEW_POSTINGS", 0)  # so that faint terms are left for the close look
        found = best_of(part, table, FACTORS, terms, scored(part, table, FACTORS), query, weights)
    expected = one_by_one(snapshot, part, query)
    best = sorted((hit.score for hit in found), reverse=True)[: query.limit]
    assert best == pytest.approx(sorted(expected.values(), reverse=True)[: query.limit], rel=1e-5)
    assert {hit.note: hit.score for hit in found} == pytest.approx(
        {hit.note: expected[hit.note] for hit in found}, rel=1e-5
    )
