"""An imported history teaches the starting belief, before anybody looked how well its complaints match."""

from __future__ import annotations

from kb.advice.chances import starting_chance
from kb.desk.bay.advice import learning
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.notes import NoteDraft, NoteKind
from kb.nouns.vehicles import CalibrationStep, CoverageLine
from tests.kb.desk.imports.importing import LEAD, history, take

UPDATE = NoteDraft(
    NoteKind.BULLETIN,
    "Surge uphill, engine warm",
    number="NV-24-101",
    coverage=(CoverageLine("Norvane", "Tessel"),),
    steps=(CalibrationStep("PCM", ("NV1A",), "NV1B"),),
    system="engine",
)
CURED = [
    {"ro_number": f"30{n}", "vin": "", "last_seen_on": "2026-08-15", "complaint": f"bucks {n}"}
    for n in range(8)
]
BACK = [
    {"ro_number": f"31{n}", "vin": "", "returned_on": "2026-03-20", "complaint": f"jerks {n}"}
    for n in range(4)
]


def test_vehicles_of_a_history_count_for_the_update_before_they_are_graded(shop: RunningShop) -> None:
    with shop.writing(LEAD) as desk:
        note = notes.write_note(desk, UPDATE)
    with shop.reading(LEAD) as desk:
        before = learning.learned(desk)
    take(shop, "history", history(*CURED, *BACK))
    with shop.reading(LEAD) as desk:
        after = learning.learned(desk)
    record = after.record(note.id)
    assert (record.cured, record.not_cured, record.in_window) == (8, 4, ())
    assert after.closed == 12
    assert after.grades == before.grades
    assert starting_chance.mean(after.starts, note.id) > starting_chance.mean(before.starts, note.id)


def test_another_cause_found_after_the_window_teaches_that_the_update_did_not_cure(shop: RunningShop) -> None:
    """Design, section 5: "other cause found without it = 0". The rate at the window stays what it was."""
    with shop.writing(LEAD) as desk:
        note = notes.write_note(desk, UPDATE)
    late = [one | {"other_cause": "cracked hose"} for one in CURED[:3]]
    take(shop, "history", history(*late, *CURED[3:]))
    with shop.reading(LEAD) as desk:
        record = learning.learned(desk).record(note.id)
    assert (record.cured, record.not_cured) == (5, 3)
