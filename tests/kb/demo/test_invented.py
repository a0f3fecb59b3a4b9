"""Nothing in the scenario is real, and what it writes down hangs together."""

from __future__ import annotations

from collections import Counter

import ultravin

from demo_data.makes import check_digit, lineages
from demo_data.notes import load_notes
from demo_data.story import Opened, Story
from kb.nouns.notes import NoteKind
from tests.kb.demo.conftest import TODAY


def _vins(story: Story) -> list[str]:
    return sorted({e.what.draft.vehicle.vin for e in story.events if isinstance(e.what, Opened)} - {""})


def _independent_check_digit(vin: str) -> str:
    """49 CFR 565.15 Tables III to V, spelled differently from the code: products summed letter by letter."""
    values = {}
    for group in ("AJ", "BKS", "CLT", "DMU", "ENV", "FW", "GPX", "HY", "RZ"):
        for letter in group:
            values[letter] = ["AJ", "BKS", "CLT", "DMU", "ENV", "FW", "GPX", "HY", "RZ"].index(group) + 1
    total = 0
    for position, letter in enumerate(vin, 1):
        weight = 9 - position if position < 8 else {8: 10, 9: 0}.get(position, 19 - position)
        total += weight * (int(letter) if letter.isdigit() else values[letter])
    return "0123456789X"[total % 11]


def test_the_check_digit_agrees_with_published_samples() -> None:
    # 49 CFR 565 Table V sample (digit 4); the second, digit X, is a well-known worked example, from memory
    for vin, digit in (("1G4AH59H05G118341", "4"), ("1M8GDM9A0KP042788", "X")):
        assert check_digit(vin) == digit
        assert _independent_check_digit(vin) == digit


def test_every_vin_has_17_characters_and_a_valid_check_digit(story: Story) -> None:
    vins = _vins(story)
    assert len(vins) > 600
    for vin in vins:
        assert len(vin) == 17
        assert vin[8] == _independent_check_digit(vin)
        assert vin[0] not in "12345"


def test_no_vin_decodes_to_a_make_and_the_decoder_accepts_its_digit_and_year(story: Story) -> None:
    years = {
        e.what.draft.vehicle.vin: e.what.draft.vehicle.year
        for e in story.events
        if isinstance(e.what, Opened) and e.what.draft.vehicle.vin
    }
    for vin, year in years.items():
        decoded = ultravin.decode(vin)
        assert not {"Make", "Model", "Manufacturer Name"} & set(decoded["attributes"])
        assert decoded["check_digit_valid"]
        assert decoded["model_year"] == year


def test_the_decoder_does_name_a_make_for_a_registered_prefix() -> None:
    # the control of the test above: a Subaru of the government's recall files has a registered prefix
    assert ultravin.decode("4S4BSANC5K3000000")["attributes"].get("Make") == "SUBARU"


def test_there_are_sixty_notes_of_both_kinds_with_unique_numbers() -> None:
    notes = load_notes(TODAY)
    kinds = Counter(note.kind for note in notes)
    assert len(notes) >= 60
    assert min(kinds[NoteKind.BULLETIN], kinds[NoteKind.LESSON]) >= 25
    assert len({note.number for note in notes}) == len(notes)
    assert {note.system for note in notes} >= {"engine", "transmission", "body", "network", "hybrid", "all"}
    assert all(note.title and note.symptom and len(note.body.split()) >= 12 for note in notes)
    assert all(note.published_on and note.published_on < TODAY for note in notes)


def test_updates_carry_what_a_technician_must_type_exactly() -> None:
    updates = [note for note in load_notes(TODAY) if note.steps and note.number != "Vell-15"]
    assert all(note.exact_entries and note.precautions and note.relearns for note in updates)
    typed = [entry for note in updates for entry in note.exact_entries]
    assert all(entry != entry.lower() and entry != entry.upper() for entry in typed)


def test_eight_modules_have_a_lineage_with_a_chain_a_fork_and_many_old_ids_for_one_new() -> None:
    steps = [(note.coverage[0].make, step) for note in load_notes(TODAY) for step in note.steps]
    assert len({(make, step.module) for make, step in steps}) == 8
    after: dict[tuple[str, str, str], set[str]] = {
        (make, step.module, old): set() for make, step in steps for old in step.old_ids
    }
    for make, step in steps:
        for old in step.old_ids:
            after[(make, step.module, old)].add(step.new_id)
    assert after[("Hespar", "GWM", "GW-2100")] == {"GW-2114", "GW-2120"}  # the fork
    assert any(len(step.old_ids) >= 3 for _, step in steps)
    chained = [key for key, news in after.items() if any((*key[:2], new) in after for new in news)]
    assert len(chained) >= 4  # IDs whose successor is itself superseded


def test_every_step_leads_to_a_later_release_of_the_same_module() -> None:
    ages = {(one.make, one.module, known): age for one in lineages() for known, age in one.released}
    for note in load_notes(TODAY):
        for step in note.steps:
            make = note.coverage[0].make
            new_age = ages[(make, step.module, step.new_id)]
            assert all(ages[(make, step.module, old)] > new_age for old in step.old_ids)
            assert note.published_on is not None
            assert (TODAY - note.published_on).days <= new_age
