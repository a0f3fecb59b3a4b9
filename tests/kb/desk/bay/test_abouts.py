"""What was no candidate in truth leaves what is learned of cures, never the rates of vehicles reflashed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from kb.desk.bay.advice import abouts, advice, learning
from kb.desk.bay.advice.concern_words import said_of
from kb.desk.bay.concern import concerns
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.desk.review import reports
from kb.errors import NotDone
from kb.nouns.bay.concern_file import OtherConcern
from tests.factories import a_concern, actor_of, an_update
from tests.kb.desk.bay.test_learning import BACK, CURED, UPDATE
from tests.kb.desk.imports.importing import LEAD, history, take

OTHERS = [
    {"ro_number": f"32{n}", "vin": "", "returned_on": "2026-03-20", "complaint": f"soft brake pedal {n}"}
    for n in range(5)
]


def test_a_history_teaches_by_complaints_that_the_update_is_about(shop: RunningShop) -> None:
    with shop.writing(LEAD) as desk:
        note = notes.write_note(desk, UPDATE)
    take(shop, "history", history(*CURED, *BACK, *OTHERS))
    with shop.reading(LEAD) as desk:
        before = learning.learned(desk).record(note.id)
        rows_before = reports.reflash_report(desk, reports.ReportFilter()).report.rows
    assert abouts.renew_abouts(shop) == 17
    assert abouts.renew_abouts(shop) == 0
    with shop.reading(LEAD) as desk:
        after = learning.learned(desk).record(note.id)
        rows_after = reports.reflash_report(desk, reports.ReportFilter()).report.rows
    assert (before.cured, before.not_cured) == (8, 9)
    assert (after.cured, after.not_cured) == (8, 4)
    assert rows_after == rows_before


def test_a_corrected_note_is_looked_at_again(shop: RunningShop) -> None:
    with shop.writing(LEAD) as desk:
        note = notes.write_note(desk, UPDATE)
    take(shop, "history", history(*OTHERS))
    abouts.renew_abouts(shop)
    with shop.writing(LEAD) as desk:
        told = replace(note.content, symptom="Soft brake pedal at the end of a stop.")
        notes.change_note(desk, note.id, note.version, told)
    assert abouts.renew_abouts(shop) == 5
    with shop.reading(LEAD) as desk:
        assert learning.learned(desk).record(note.id).not_cured == 5


def test_an_open_concern_loses_a_candidate_that_its_corrected_words_are_not_about(shop: RunningShop) -> None:
    lead, tech = actor_of(shop, "lead"), actor_of(shop, "tech")
    with shop.writing(lead) as desk:
        notes.write_note(desk, an_update())
    with shop.writing(tech) as desk:
        opened = concerns.open_concern(desk, a_concern())
        assert advice.give_advice(desk, opened.id).candidates
    with shop.writing(tech) as desk:
        told = a_concern(complaint="wiper smears at light rain, engine warm, uphill")
        concerns.change_concern(desk, opened.id, 1, told)
    with shop.reading(tech) as desk:
        said = advice.give_advice(desk, opened.id)
    assert said.candidates == ()
    assert "nothing on file is about this" in said.sentence
    assert [one.about for one in said.near] == [False]


def test_a_concern_that_fails_keeps_no_other_one_waiting(
    shop: RunningShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Even where each stands in a batch with it, and more wait than one batch holds."""
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, UPDATE)
    take(shop, "history", history(*CURED, *BACK, *OTHERS))

    def failing(concern: OtherConcern) -> Any:
        if concern.complaint.endswith("pedal 2"):
            raise ZeroDivisionError("no words")
        return said_of(concern)

    with monkeypatch.context() as patch:
        patch.setattr(abouts, "BATCH", 3)
        patch.setattr("kb.desk.bay.advice.abouts.said_of", failing)
        with pytest.raises(NotDone, match=r"What concern \d+ may be about"):
            abouts.renew_abouts(shop)
    assert abouts.renew_abouts(shop) == 1
