"""What customers and technicians write leads to the bulletin that is behind it."""

from __future__ import annotations

from demo_data.story import Opened, Story
from kb.nouns.concerns import ConcernDraft
from kb.search.index import SearchIndex
from kb.search.query import IndexEntry, Query
from kb.words.concepts import trade_concepts
from kb.words.lexicon import make_lexicon
from tests.kb.demo.conftest import TODAY


def _index(story: Story) -> SearchIndex:
    return SearchIndex.build(
        [
            IndexEntry(
                number,
                note.kind.value,
                f"{note.number} {note.title}",
                f"{note.symptom} {note.conditions}",
                note.body,
                codes=tuple(note.code_kinds),
                modules=tuple(step.module for step in note.steps),
                coverage=note.coverage,
            )
            for number, note in enumerate(story.notes)
        ],
        make_lexicon(trade_concepts()),
    )


def _rank(index: SearchIndex, story: Story, draft: ConcernDraft, text: str, wanted: str) -> int:
    """Place of the wanted update among the updates found, from 0; a large number if it is not found."""
    query = Query(
        text,
        tuple(one.code for one in draft.codes),
        draft.vehicle,
        recorded=True,
        kinds=("bulletin",),
        limit=30,
    )
    notes = [story.notes[hit.id] for hit in index.search(query).results]
    found = [note.number for note in notes if note.steps and note.published_on and note.published_on < TODAY]
    return found.index(wanted) if wanted in found else 99


def _ranks(story: Story) -> list[tuple[int, int]]:
    """Places of the considered update by the customer's words, and with the technician's beside them."""
    index = _index(story)
    drafts = {
        event.what.concern: event.what.draft for event in story.events if isinstance(event.what, Opened)
    }
    ranks = []
    for truth in story.truths[::2]:
        if truth.considered not in ("", "Vell-15"):
            draft = drafts[truth.concern]
            both = f"{draft.complaint} {draft.technician_words}"
            by_customer = _rank(index, story, draft, draft.complaint, truth.considered)
            ranks.append((by_customer, _rank(index, story, draft, both, truth.considered)))
    return ranks


def test_typed_words_find_the_update_that_was_considered(story: Story, many_stories: list[Story]) -> None:
    """Superseded Vell-15 apart: its successor says the same and is found instead.

    The shares asked for are the aim of the project's search figures with make and model known (0.82 for
    customers' words, 0.92 with the technician's), over every other line of three draws of the
    story: one alone is uncertain by 0.015.
    """
    ranks = [rank for one in (story, *many_stories[:2]) for rank in _ranks(one)]
    assert sum(customer == 0 for customer, _ in ranks) / len(ranks) >= 0.82
    assert sum(both == 0 for _, both in ranks) / len(ranks) >= 0.92
    assert sum(both < 3 for _, both in ranks) / len(ranks) >= 0.97
