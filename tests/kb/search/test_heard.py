"""What is only heard tells what a note is about and moves no ranking. Notes and scores are hand-made."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kb.search.index import SearchIndex
from kb.search.query import IndexEntry, Query
from kb.words.concepts import Concept
from kb.words.lexicon import make_lexicon

DRAIN = Concept(
    "battery_dead",
    "symptom",
    frozenset({("batteri", "discharg")}),
    words=frozenset({"battery", "discharged", "flat"}),
    system="electrical",
)
FLAT = frozenset({("flat",)})
SPARE = Concept("spare", "part", frozenset({("spare",)}), system="wheels", words=frozenset({"spare"}))
NOTES = (
    IndexEntry(1, "update", title="Battery discharged after standing", symptom="The module stays awake."),
    IndexEntry(2, "update", title="Spare wheel carrier", symptom="The spare is loose on Monday roads."),
)


def scores(drain: Concept, text: str) -> dict[int, tuple[float, bool]]:
    index = SearchIndex.build(NOTES, make_lexicon((drain, SPARE)))
    return {hit.id: (hit.score, bool(hit.about)) for hit in index.search(Query(text)).results}


def test_a_note_is_about_what_is_heard() -> None:
    """Without the phrase nothing is found; said or heard, the battery note is about it."""
    assert scores(DRAIN, "flat by morning") == {}
    for drain in (replace(DRAIN, said=FLAT), replace(DRAIN, heard=FLAT)):
        assert scores(drain, "flat by morning")[1][1]


def test_what_is_heard_moves_no_ranking() -> None:
    """As said, "flat" lifts the battery note above the spare's; as heard, the spare's scores what it did."""
    text = "flat spare on monday"
    plain, said = scores(DRAIN, text), scores(replace(DRAIN, said=FLAT), text)
    heard = scores(replace(DRAIN, heard=FLAT), text)
    assert said[1][0] > 100 * heard[1][0] > 0
    assert heard[2][0] == pytest.approx(plain[2][0])
