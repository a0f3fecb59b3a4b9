"""What the words of a concern say against the updates that are about it, by the index's reading of both."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from kb.advice.before_plan.build_dates import built_otherwise
from kb.advice.before_plan.complaint_against import against_conditions, says_so
from kb.advice.before_plan.speeds_told import driven_otherwise
from kb.desk.bay.advice.concern_words import Said, said_of
from kb.desk.bay.advice.follows_from_words import remembered
from kb.desk.bay.search import search_memory
from kb.desk.bay.search.entries import UPDATE
from kb.desk.context import Desk
from kb.nouns.advice import Against
from kb.nouns.bay.concern_file import ConcernFile
from kb.vehicle.updates_on_file import UpdateOnFile

CONDITIONS_CHECK = "bulletin_conditions"
"""The starting check that asks whether it acts up under the bulletin's conditions."""


@dataclass(frozen=True, slots=True)
class WordsAgainst:
    """Texts of the entries that the words meet, and what they say against the note's conditions."""

    entries: frozenset[str] = frozenset()
    conditions: tuple[Against, ...] = ()


def words_against(
    desk: Desk, file: ConcernFile, updates: Sequence[UpdateOnFile]
) -> Mapping[int, WordsAgainst]:
    """By note id."""
    if not updates:
        return {}
    ids = tuple(update.note_id for update in updates)
    return remembered(desk, file, "words against", lambda: _read(desk, said_of(file), updates), ids)


def _read(desk: Desk, said: Said, updates: Sequence[UpdateOnFile]) -> Mapping[int, WordsAgainst]:
    index = search_memory.index(desk, (UPDATE,))
    complaint = index.meaning(said.text)
    found = {}
    for update in updates:
        note = index.meaning(f"{update.title}. {update.symptom}")
        found[update.note_id] = WordsAgainst(
            frozenset(
                one.says
                for one in update.speaks_against
                if built_otherwise(said.text, one.says) or says_so(complaint, index.meaning(one.says), note)
            ),
            (
                *against_conditions(
                    complaint, index.meaning(update.conditions), update.conditions, index.opposites
                ),
                *driven_otherwise(said.text, update.conditions),
            ),
        )
    return found
