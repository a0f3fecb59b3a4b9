"""Candidates that a history brought are graded by the complaint alone, as a concern is at its opening."""

from __future__ import annotations

import math
from dataclasses import replace

from sqlmodel import col, select

from kb.desk.bay.advice import abouts, learning
from kb.desk.bay.concern import concerns
from kb.desk.context import RunningShop
from kb.desk.imports import import_undo
from kb.desk.notes import notes
from kb.nouns.concerns import ConcernDraft
from kb.nouns.notes import Grade, NoteState
from kb.nouns.vehicles import Vehicle
from kb.records.tables import ConcernCandidate, ConcernRow
from tests.factories import an_update
from tests.kb.desk.imports.importing import LEAD, TECH, everything, history, take

CURED = {"last_seen_on": "2026-08-15"}
BACK = {"returned_on": "2026-03-20"}
WORDS = (
    "bucks and jerks at light throttle going uphill when warm",
    "bucks n jerks lite throtle goin uphill only wen warm",
    "jerks, no start, dies, check engine light on",
    "bucks, squeals, hard to start, white smoke",
    "surges at light throttle",
    "soft brake pedal",
    "bucks when cold and the seat heater smells and the wipers smear",
)


def rows(*words: str, ending: dict[str, str], first: int = 1) -> list[dict[str, str]]:
    return [
        {"ro_number": f"{first + at}", "vin": "", "codes": "", "complaint": said} | ending
        for at, said in enumerate(words)
    ]


def candidates(shop: RunningShop) -> dict[str, list[tuple[str, str, bool | None]]]:
    """By RO's complaint: origin (history or hand), grade and about of each stored candidate."""
    found: dict[str, list[tuple[str, str, bool | None]]] = {}
    with shop.records.reading() as session:
        query = select(ConcernRow, ConcernCandidate).join(
            ConcernCandidate, col(ConcernCandidate.concern_id) == col(ConcernRow.id)
        )
        for concern, one in session.exec(query.order_by(col(ConcernRow.id))):
            origin = "history" if concern.import_id else "hand"
            found.setdefault(concern.complaint, []).append((origin, one.grade, one.about))
    return found


def publish(shop: RunningShop) -> int:
    with shop.writing(LEAD) as desk:
        return notes.write_note(desk, an_update()).id


def test_a_history_is_graded_as_the_same_complaints_by_hand(shop: RunningShop) -> None:
    publish(shop)
    take(shop, "history", history(*rows(*WORDS, ending=CURED)))
    assert abouts.renew_abouts(shop) == len(WORDS)
    with shop.writing(TECH) as desk:
        for at, said in enumerate(WORDS):
            vehicle = Vehicle("Norvane", "Tessel", 2019)
            concerns.open_concern(desk, ConcernDraft(f"9{at}", said, vehicle=vehicle))
    of_history, of_hand = set(), set()
    for said, some in candidates(shop).items():
        of_history |= {(said, grade) for origin, grade, about in some if origin == "history" and about}
        of_hand |= {(said, grade) for origin, grade, about in some if origin == "hand"}
    assert of_history == of_hand
    assert {grade for _said, grade in of_history} == {"strong", "partial"}
    assert [(grade, about) for _origin, grade, about in candidates(shop)["soft brake pedal"]] == [("", False)]


def test_the_grade_counts_where_it_cured_and_where_it_did_not(shop: RunningShop) -> None:
    publish(shop)
    cured = rows(*[f"bucks at light throttle {n}" for n in range(6)], ending=CURED)
    failed = rows(*[f"bucks at light throttle {n}" for n in range(3)], ending=BACK, first=100)
    wordless = rows("", ending=BACK | {"codes": "P0171"}, first=200)
    take(shop, "history", history(*cured, *failed, *wordless))
    abouts.renew_abouts(shop)
    with shop.reading(LEAD) as desk:
        known = learning.learned(desk)
    assert (known.grades.cured, known.grades.not_cured) == ((6, 0, 0), (3, 0, 0))
    assert known.grades.log_ratio(Grade.STRONG) < math.log(5 / 3) / 2  # half of the guess
    assert known.record(1).cured == 6
    assert [one[1] for one in candidates(shop)[""]] == [""]


def test_a_draft_is_graded_once_it_is_published_and_then_keeps_its_grades(shop: RunningShop) -> None:
    """As by hand: the note of that day gives the grade; a later correction moves `about` alone."""
    take(shop, "history", history(*rows("bucks at light throttle", ending=BACK)))
    assert abouts.renew_abouts(shop) == 0
    assert candidates(shop) == {"bucks at light throttle": [("history", "", None)]}
    with shop.writing(LEAD) as desk:
        draft = notes.read_note(desk, 1)
        published = notes.change_note(desk, 1, draft.version, replace(an_update(), state=NoteState.PUBLISHED))
    assert abouts.renew_abouts(shop) == 1
    assert candidates(shop) == {"bucks at light throttle": [("history", "strong", True)]}
    with shop.writing(LEAD) as desk:
        narrower = an_update(title="Bucks", symptom="bucks", body="", conditions="")
        notes.change_note(desk, 1, published.version, narrower)
    assert abouts.renew_abouts(shop) == 1
    assert candidates(shop) == {"bucks at light throttle": [("history", "strong", True)]}


def test_undo_takes_graded_candidates_along(shop: RunningShop) -> None:
    publish(shop)
    before = everything(shop)
    first = take(shop, "history", history(*rows(*WORDS, ending=BACK)))
    abouts.renew_abouts(shop)
    assert {one[0][1] for one in candidates(shop).values()} >= {"strong", ""}
    import_undo.undo_import(shop, LEAD, first.id)
    assert everything(shop) == before


def test_a_graded_candidate_goes_with_the_row_that_named_it(shop: RunningShop) -> None:
    """A later import names a second update for the same line; taken back, its graded candidate goes."""
    publish(shop)
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update(number="NV-24-102"))
    [row] = rows(WORDS[0], ending=BACK)
    row["vin"] = "5XYPG4A35GG000001"
    take(shop, "history", history(row))
    second = take(
        shop,
        "history",
        history(row | {"update": "NV-24-102", "reflashed_on": "2026-04-01", "returned_on": ""}),
    )
    abouts.renew_abouts(shop)
    assert [grade for _origin, grade, _about in candidates(shop)[WORDS[0]]] == ["strong", "strong"]
    import_undo.undo_import(shop, LEAD, second.id)
    assert [grade for _origin, grade, _about in candidates(shop)[WORDS[0]]] == ["strong"]
