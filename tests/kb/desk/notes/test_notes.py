"""Notes at the desk: every version is kept, nobody's text is lost, and no circle is published."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.desk.context import RunningShop
from kb.desk.notes import merging_notes, notes
from kb.desk.notes.note_faults import secret_warnings
from kb.desk.notes.notes import NoteFilter
from kb.errors import BadInput, Conflict, NotAllowed, NotFound
from kb.nouns.notes import (
    CodeKind,
    NoteCode,
    NoteDocument,
    NoteDraft,
    NoteKind,
    NoteState,
    Remedy,
    SpeaksAgainst,
)
from kb.nouns.people import Actor
from kb.nouns.vehicles import CalibrationStep, CoverageLine
from kb.records.store.notes.note_content import from_content, to_content

pytestmark = pytest.mark.both_databases

LEAD = Actor(0, "lead", "lead")
TECH = Actor(0, "tech", "tech")
SURGE = NoteDraft(
    kind=NoteKind.BULLETIN,
    title="Surge at 45 mph, reprogram engine module",
    number="B-101",
    symptom="Surges at steady throttle",
    body="Reprogram.",
    conditions="warm, level road",
    codes=(
        NoteCode("P0171", CodeKind.MAY_BE_STORED),
        NoteCode("P2096"),
        NoteCode("U0100-87", CodeKind.NOT_PART),
    ),
    coverage=(CoverageLine("Norvik", "Fjord", ((2018, 2019), (2021, 2021)), "2.0L", date(2018, 3, 1)),),
    steps=(CalibrationStep("ECM", ("A1", "A2"), "B1"),),
    documents=(NoteDocument("letter", "Dear owner"),),
    precautions=("support unit on",),
    exact_entries=("FLASH-7 Q",),
    remedy=Remedy.SOFTWARE_AND_PART,
    remedy_module="ECM",
    system="engine",
    published_on=date(2023, 4, 1),
)


def write(shop: RunningShop, draft: NoteDraft) -> int:
    with shop.writing(LEAD) as desk:
        return notes.write_note(desk, draft).id


def step(old: str, new: str, **more: object) -> NoteDraft:
    return replace(SURGE, steps=(CalibrationStep("ECM", (old,), new),), **more)  # type: ignore[arg-type]


def test_a_note_is_read_back_whole(shop: RunningShop) -> None:
    note_id = write(shop, SURGE)
    with shop.reading(TECH) as desk:
        assert notes.read_note(desk, note_id).content == SURGE


def test_every_version_is_kept_whole_with_its_author_and_reason(shop: RunningShop) -> None:
    note_id = write(shop, SURGE)
    with shop.writing(Actor(0, "ola", "owner")) as desk:
        notes.change_note(desk, note_id, 1, replace(SURGE, body="Reprogram twice.", documents=()), "typo")
    with shop.reading(TECH) as desk:
        newest, first = notes.list_revisions(desk, note_id)
    assert (newest.version, newest.author, newest.why, newest.content.body) == (
        2,
        "ola",
        "typo",
        "Reprogram twice.",
    )
    assert (first.version, first.author, first.content) == (1, "lead", SURGE)


def test_who_saves_second_gets_both_texts_and_changes_nothing(shop: RunningShop) -> None:
    note_id = write(shop, SURGE)
    with shop.writing(LEAD) as desk:
        notes.change_note(desk, note_id, 1, replace(SURGE, body="first"))
    with pytest.raises(Conflict) as refused, shop.writing(LEAD) as desk:
        notes.change_note(desk, note_id, 1, replace(SURGE, body="second"))
    assert refused.value.details["yours"]["body"] == "second"
    assert refused.value.details["theirs"]["body"] == "first"
    with shop.reading(LEAD) as desk:
        assert notes.read_note(desk, note_id).content.body == "first"
        assert len(notes.list_revisions(desk, note_id)) == 2


def test_a_step_that_closes_a_circle_is_named_and_refused(shop: RunningShop) -> None:
    write(shop, step("A1", "A2"))
    write(shop, step("A2", "A3"))
    with pytest.raises(BadInput) as refused:
        write(shop, step("A3", "a1"))
    for calibration in ("A1", "A2", "A3"):
        assert calibration in refused.value.message
    draft_id = write(shop, step("A3", "A1", state=NoteState.DRAFT))
    with pytest.raises(BadInput), shop.writing(LEAD) as desk:
        notes.publish_note(desk, draft_id, 1)


def test_the_same_ids_of_another_make_or_module_close_no_circle(shop: RunningShop) -> None:
    write(shop, step("A1", "A2"))
    write(shop, step("A2", "A1", coverage=(CoverageLine("Ostrava"),)))
    write(shop, replace(SURGE, steps=(CalibrationStep("TCM", ("A2",), "A1"),)))
    with pytest.raises(BadInput):
        write(shop, step("A2", "A1", coverage=(CoverageLine("NOR-VIK"),)))


def test_a_retired_step_no_longer_counts_for_a_circle(shop: RunningShop) -> None:
    first = write(shop, step("A1", "A2"))
    with shop.writing(LEAD) as desk:
        notes.retire_note(desk, first, 1, "withdrawn by the manufacturer")
    write(shop, step("A2", "A1"))


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"title": "  "}, "title"),
        ({"codes": (NoteCode("P01711"),)}, "codes"),
        ({"coverage": (CoverageLine("Norvik", years=((1885, 1890),)),)}, "years"),
        ({"coverage": (CoverageLine("Norvik", years=((2026, 2028),)),)}, "years"),
        ({"coverage": (CoverageLine("Norvik", years=((2020, 2019),)),)}, "years"),
        ({"coverage": (CoverageLine(" "),)}, "coverage"),
        ({"steps": (CalibrationStep("ECM", ("A",), ""),)}, "steps"),
        ({"kind": NoteKind.LESSON}, "steps"),
    ],
)
def test_a_field_at_fault_is_named(shop: RunningShop, change: dict[str, object], field: str) -> None:
    with pytest.raises(BadInput) as refused:
        write(shop, replace(SURGE, **change))  # type: ignore[arg-type]
    assert field in refused.value.fields


def test_next_year_is_a_model_year_and_codes_take_their_one_form(shop: RunningShop) -> None:
    draft = replace(
        SURGE,
        coverage=(CoverageLine("Norvik", years=((2027, 2027),)),),
        codes=(NoteCode("p0171", CodeKind.NOT_PART), NoteCode("P0171")),
    )
    with shop.writing(LEAD) as desk:
        assert notes.write_note(desk, draft).content.codes == (NoteCode("P0171", CodeKind.NOT_PART),)


def test_a_technician_reads_but_does_not_write(shop: RunningShop) -> None:
    with pytest.raises(NotAllowed), shop.writing(TECH) as desk:
        notes.write_note(desk, SURGE)


def test_a_merged_duplicate_is_retired_and_kept(shop: RunningShop) -> None:
    keep, duplicate = write(shop, SURGE), write(shop, replace(SURGE, title="The same again"))
    with shop.writing(LEAD) as desk:
        merging_notes.merge_notes(desk, keep, duplicate)
    with shop.reading(TECH) as desk:
        assert notes.read_note(desk, duplicate).content.state is NoteState.RETIRED
        assert str(keep) in notes.list_revisions(desk, duplicate)[0].why
        with pytest.raises(NotFound):
            notes.read_note(desk, 999)


def test_lists_are_narrowed_by_kind_state_make_and_words(shop: RunningShop) -> None:
    write(shop, SURGE)
    write(shop, NoteDraft(kind=NoteKind.LESSON, title="100% ground fault", state=NoteState.DRAFT))

    def titles(wanted: NoteFilter) -> list[str]:
        with shop.reading(TECH) as desk:
            return [line.title for line in notes.list_notes(desk, wanted).lines]

    assert titles(NoteFilter()) == ["100% ground fault", SURGE.title]
    assert titles(NoteFilter(kind=NoteKind.BULLETIN)) == [SURGE.title]
    assert titles(NoteFilter(state=NoteState.DRAFT)) == ["100% ground fault"]
    assert titles(NoteFilter(make="nor vik")) == [SURGE.title]
    assert titles(NoteFilter(text="MPH surge")) == [SURGE.title]
    assert titles(NoteFilter(text="0%")) == ["100% ground fault"]
    assert titles(NoteFilter(page=2)) == []


@pytest.mark.parametrize("text", ["Key code: B12345", "immobilizer PIN 4711", "Password: hunter2"])
def test_a_secret_in_a_note_is_warned_of(text: str) -> None:
    assert secret_warnings(replace(SURGE, body=text))


def test_plain_repair_text_is_not_warned_of() -> None:
    body = "Check pin 4 of connector C101. Keep no key codes of the manufacturer. Ask for the password."
    assert secret_warnings(replace(SURGE, body=body)) == ()


texts = st.text(max_size=12)
days = st.none() | st.dates()
lines = st.builds(
    CoverageLine,
    texts,
    texts,
    st.lists(st.tuples(st.integers(1886, 2030), st.integers(1886, 2030)), max_size=2).map(tuple),
    texts,
    days,
    days,
    texts,
)
steps = st.builds(CalibrationStep, texts, st.lists(texts, max_size=2).map(tuple), texts)


codes = st.builds(NoteCode, texts, st.sampled_from(CodeKind))


@given(
    st.builds(
        NoteDraft,
        kind=st.sampled_from(NoteKind),
        title=texts,
        codes=st.lists(codes, max_size=2, unique_by=str).map(tuple),
        coverage=st.lists(lines, max_size=2).map(tuple),
        steps=st.lists(steps, max_size=2).map(tuple),
        documents=st.lists(st.builds(NoteDocument, texts, texts), max_size=2).map(tuple),
        speaks_against=st.lists(st.builds(SpeaksAgainst, texts, texts), max_size=2).map(tuple),
        remedy=st.sampled_from([one for one in Remedy if one]),
        remedy_module=texts,
        state=st.sampled_from(NoteState),
        published_on=days,
    )
)
def test_content_survives_its_kept_form(draft: NoteDraft) -> None:
    assert from_content(to_content(draft)) == draft


def test_a_merge_is_taken_back_and_a_merged_note_is_not_published(shop: RunningShop) -> None:
    keep, duplicate = write(shop, SURGE), write(shop, replace(SURGE, title="The same again", steps=()))
    with shop.writing(LEAD) as desk:
        assert [one.id for one in merging_notes.notes_to_keep(desk, duplicate, "surge 45")] == [keep]
        merging_notes.merge_notes(desk, keep, duplicate)
    with pytest.raises(BadInput, match="merged"), shop.writing(LEAD) as desk:
        notes.publish_note(desk, duplicate, 2)
    with shop.writing(LEAD) as desk:
        assert merging_notes.unmerge_note(desk, duplicate).content.state is NoteState.PUBLISHED
        assert merging_notes.merged_into(desk, duplicate) is None
