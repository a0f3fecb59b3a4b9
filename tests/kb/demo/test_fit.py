"""Whether an update is offered for what it is about, and for nothing else, on the demo's bulletins.

The complaints are by other heads than the rule's, by writers who never saw its code: `judged.json` was never
read by whoever made the rule, only counted; the `seen_` files were counted first and looked
at then. What each is about is a technician's judgement (common practice, no source). `unlike`
shares (almost) no word with its bulletin, `lookalike` many and is about something else, `excluded` is what
the bulletin itself says software does not cure.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest

from demo_data.notes import load_notes
from kb.advice.before_plan.build_dates import built_otherwise
from kb.advice.before_plan.candidates import is_about
from kb.advice.before_plan.complaint_against import against_conditions, says_so
from kb.advice.before_plan.speeds_told import driven_otherwise
from kb.nouns.notes import CodeKind, NoteDraft, NoteKind, NoteState
from kb.nouns.vehicles import Applies, Vehicle
from kb.search.index import SearchIndex
from kb.search.query import Hit, IndexEntry, Query
from kb.vehicle.coverage import applies_to_recorded
from kb.vehicle.families import families_on_file
from kb.words.concepts import trade_concepts
from kb.words.lexicon import make_lexicon
from kb.words.normalise import codes_in

FOLDER = Path(__file__).parent / "complaints"
# Wanted: .97 of the unrelated, .95 related, .8 unlike, .7 lookalike, .9 excluded. Held a little below what
# was measured, so that it never gets worse.
JUDGED = {"unrelated": 0.97, "related": 0.94, "unlike": 0.79, "lookalike": 0.78, "excluded": 0.95}
SEEN = {"unrelated": 0.99, "related": 0.99, "unlike": 0.91, "lookalike": 0.88, "excluded": 0.97}
LINEAGE = {"Vell-15", "Vell-22"}
NOTHING_MET = {"nothing met": 0.98}
Case = Mapping[str, Any]


@lru_cache(maxsize=1)
def bulletins() -> tuple[tuple[NoteDraft, ...], SearchIndex]:
    notes = tuple(one for one in load_notes(date(2026, 10, 31)) if one.state is NoteState.PUBLISHED)
    entries = [_entry(number, note) for number, note in enumerate(notes)]
    return notes, SearchIndex.build(entries, make_lexicon(trade_concepts()))


def _entry(number: int, note: NoteDraft) -> IndexEntry:
    return IndexEntry(
        number,
        "update" if note.kind is NoteKind.BULLETIN and note.steps else note.kind.value,
        title=f"{note.number} {note.title}",
        symptom=note.symptom,
        conditions=note.conditions,
        body=note.body,
        codes=tuple(one.code for one in note.codes),
        modules=tuple(step.module for step in note.steps),
        coverage=note.coverage,
    )


def offered(case: Case) -> list[tuple[str, bool]]:
    """Updates offered, best first, each with whether something speaks against it."""
    notes, index = bulletins()
    vehicle = Vehicle(case["make"], case["model"], case["year"], case["engine"])
    asked = Query(case["complaint"], vehicle=vehicle, recorded=True, kinds=("update",), limit=30)
    present = frozenset(codes_in(case["complaint"]))
    return [
        (notes[hit.id].number, _is_met(case, notes[hit.id]))
        for hit in index.search(asked).results
        if _is_about(hit, notes[hit.id], present)
        and applies_to_recorded(notes[hit.id].coverage, vehicle, families_on_file()).applies is not Applies.NO
    ]


def _is_about(hit: Hit, note: NoteDraft, present: frozenset[str]) -> bool:
    defining = {one.code for one in note.codes if one.kind is CodeKind.DEFINING}
    return is_about(bool(hit.about), defining, present)


def _is_met(case: Case, note: NoteDraft) -> bool:
    _, index = bulletins()
    complaint, told = index.meaning(case["complaint"]), index.meaning(f"{note.title}. {note.symptom}")
    conditions = index.meaning(note.conditions)
    return any(
        built_otherwise(case["complaint"], one.says) or says_so(complaint, index.meaning(one.says), told)
        for one in note.speaks_against
    ) or bool(
        against_conditions(complaint, conditions, note.conditions, index.opposites)
        or driven_otherwise(case["complaint"], note.conditions)
    )


def judge(case: Case) -> Iterable[tuple[str, bool]]:
    """(kind, whether it is right) of one complaint."""
    found = offered(case)
    names, kind, wanted = [name for name, _ in found], case["kind"], case["update"]
    first = "".join(names[:1])
    if first in LINEAGE and wanted in LINEAGE and LINEAGE.issubset(names):  # the advice merges them
        first = wanted
    if kind == "unrelated":
        yield kind, not names
    elif kind in ("related", "unlike"):
        yield kind, first == wanted
        if kind == "related":
            yield "nothing met", not dict(found).get(wanted, False)
    elif kind in ("lookalike", "excluded"):
        yield kind, dict(found).get(wanted, True)


@pytest.mark.parametrize(
    ("file", "least"),
    [("judged", JUDGED), ("seen_by_the_rule", SEEN), ("seen_since", SEEN), ("seen_lately", SEEN)],
)
def test_updates_are_offered_for_what_they_are_about(file: str, least: Mapping[str, float]) -> None:
    cases = json.loads((FOLDER / f"{file}.json").read_text())
    answers = [answer for case in cases for answer in judge(case)]
    asked, right = Counter(kind for kind, _ in answers), Counter(kind for kind, good in answers if good)
    rates = {kind: right[kind] / count for kind, count in asked.items()}
    wanted = least | NOTHING_MET
    assert {kind: rates[kind] for kind in wanted if rates[kind] < wanted[kind]} == {}, rates
