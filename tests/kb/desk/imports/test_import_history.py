"""Importing a shop's history: what each row makes, re-imports without doubles, and undo.

The rules are those of design.md section 6 (observation of a reflash) and section 8 (history CSV).
"""

from __future__ import annotations

import random
from datetime import date, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlmodel import Session, select

from kb.desk.bay.search.search import SearchRequest, search
from kb.desk.calls import what_was_heard
from kb.desk.context import RunningShop
from kb.desk.imports import import_undo
from kb.desk.imports.import_told import ImportState
from kb.desk.notes import merging_notes, notes
from kb.desk.notes.notes import NoteFilter
from kb.desk.review import alarms
from kb.nouns.concerns import FollowUpDraft, FollowUpResult
from kb.nouns.notes import NoteState
from kb.nouns.outcomes import Standing
from kb.records.tables import ConcernRow, FollowUpRow, ImportedRow, Outcome, ProgrammingEvent, VehicleRow
from tests.factories import an_update
from tests.kb.desk.bay.slow_stories import renew_slowly
from tests.kb.desk.imports.importing import LEAD, TECH, counts, everything, history, notes_file, take, view

pytestmark = pytest.mark.both_databases

# The sample of 49 CFR 565.15 table V with its check digit; the other differs at positions 9 and 17.
VIN, OTHER_VIN = "1G4AH59H45G118341", "1G4AH59H65G118342"
HISTORY = "history"
COMEBACK, OTHER_CAUSE, WAITING, ENDED = (Standing(kind) for kind in (1, 2, 4, 6))


def outcomes(shop: RunningShop) -> list[Outcome]:
    with shop.records.reading() as session:
        return list(session.exec(select(Outcome).order_by(Outcome.id)))  # type: ignore[arg-type]


def count(session: Session, table: type[ConcernRow | VehicleRow | ProgrammingEvent | FollowUpRow]) -> int:
    return len(session.exec(select(table)).all())


def test_what_was_done_is_kept_with_the_row_and_changed_by_a_later_file(shop: RunningShop) -> None:
    first = take(shop, HISTORY, history({"work_done": "reflashed PCM"}))
    again = take(shop, HISTORY, history({"work_done": "reflashed PCM, test drove"}))
    with shop.records.reading() as session:
        kept = [
            (row.import_id, row.content) for row in session.exec(select(ImportedRow)).all() if row.content
        ]
    assert counts(again) == (0, 1, 0)
    assert [(job, said["work_done"]) for job, said in kept] == [
        (first.id, "reflashed PCM"),
        (again.id, "reflashed PCM, test drove"),
    ]


def test_import_and_undo_leave_the_database_as_it_was(shop: RunningShop) -> None:
    before = everything(shop)
    data = history({"vin": VIN}, {"line": "B", "vin": VIN, "complaint": "dies at lights"}, {"ro_number": "7"})
    first = take(shop, HISTORY, data)
    assert (counts(first), first.state) == ((3, 0, 0), ImportState.DONE)
    taken = everything(shop)
    assert counts(take(shop, HISTORY, data)) == (0, 0, 3)
    assert everything(shop) == taken
    import_undo.undo_import(shop, LEAD, first.id)
    assert (everything(shop), view(shop, first.id).kept) == (before, ())
    assert counts(take(shop, HISTORY, data)) == (3, 0, 0)


def test_an_unknown_update_makes_one_draft_bulletin_under_the_number_as_typed(shop: RunningShop) -> None:
    take(shop, HISTORY, history({"ro_number": "1"}, {"ro_number": "2", "update": "nv-24-101 "}))
    with shop.reading(TECH) as desk:
        [line] = notes.list_notes(desk, NoteFilter()).lines
    assert (line.number, line.title) == ("NV-24-101", "NV-24-101 (from history)")
    assert line.state is NoteState.DRAFT
    assert {one.update_id for one in outcomes(shop)} == {line.id}


def test_a_history_that_names_a_note_merged_twice_counts_to_the_one_that_is_left(shop: RunningShop) -> None:
    with shop.writing(LEAD) as desk:
        a, b, c = (notes.write_note(desk, an_update(number=f"NV-{n}", title=n)).id for n in "ABC")
        merging_notes.merge_notes(desk, b, a)
        merging_notes.merge_notes(desk, c, b)
    take(shop, HISTORY, history({"update": "NV-A"}, {"update": "nv-b", "ro_number": "2"}))
    assert [one.update_id for one in outcomes(shop)] == [c, c]


def test_an_update_whose_alarm_was_answered_stays_after_undo(shop: RunningShop) -> None:
    first = take(shop, HISTORY, history({"returned_on": "2026-03-20"}))
    [outcome] = outcomes(shop)
    with shop.writing(LEAD) as desk:
        alarms.answer_alarm(desk, outcome.update_id or 0, "we stop using it")
    import_undo.undo_import(shop, LEAD, first.id)
    undone = view(shop, first.id)
    assert undone.state is ImportState.UNDONE
    assert [(one.noun, one.id, one.why) for one in undone.kept] == [("note", outcome.update_id, "used since")]


def test_a_bulletin_that_comes_after_the_history_fills_the_draft(shop: RunningShop) -> None:
    first = take(shop, HISTORY, history({"vin": VIN}))
    before = everything(shop)
    bulletin = take(shop, "notes", notes_file({"number": "nv-24-101", "title": "Bucks uphill"}))
    assert counts(bulletin) == (0, 1, 0)
    with shop.reading(TECH) as desk:
        [line] = notes.list_notes(desk, NoteFilter()).lines
    assert (line.title, line.state) == ("Bucks uphill", NoteState.PUBLISHED)
    assert [one.update_id for one in outcomes(shop)] == [line.id]
    assert counts(take(shop, HISTORY, history({"vin": VIN}))) == (0, 0, 1)
    import_undo.undo_import(shop, LEAD, bulletin.id)
    assert everything(shop) == before
    import_undo.undo_import(shop, LEAD, first.id)
    assert outcomes(shop) == []


def test_a_known_update_gets_the_outcomes_and_past_concerns_are_found(shop: RunningShop) -> None:
    with shop.writing(LEAD) as desk:
        known = notes.write_note(desk, an_update(number="NV-24-101")).id
    take(shop, HISTORY, history({"vin": VIN}))
    assert [one.update_id for one in outcomes(shop)] == [known]
    with shop.reading(TECH) as desk:
        found = search(desk, SearchRequest("bucks uphill", kinds=("concern",))).results
    assert [(one.number, one.title) for one in found] == [("RO 2087-A", "bucks uphill when warm")]


def test_one_vin_is_one_vehicle_and_no_vin_is_a_vehicle_of_its_own(shop: RunningShop) -> None:
    rows = [
        {"ro_number": "1", "vin": VIN},
        {"ro_number": "2", "vin": VIN},
        {"ro_number": "3", "vin": OTHER_VIN},
    ]
    take(shop, HISTORY, history(*rows, {"ro_number": "4"}, {"ro_number": "5"}))
    with shop.records.reading() as session:
        assert count(session, VehicleRow) == 4


def test_rows_of_one_event_share_it_and_two_updates_share_a_concern(shop: RunningShop) -> None:
    rows = [
        {"vin": VIN, "event": "E-1"},
        {"vin": VIN, "event": "E-1", "module": "TCM", "update": "NV-24-102"},
        {"vin": VIN, "event": "E-1", "line": "B", "complaint": "slams into second"},
    ]
    take(shop, HISTORY, history(*rows))
    with shop.records.reading() as session:
        assert (count(session, ProgrammingEvent), count(session, ConcernRow)) == (1, 2)
    first, second, third = outcomes(shop)
    assert first.reflash_id == third.reflash_id != second.reflash_id
    assert first.concern_id == second.concern_id != third.concern_id


@pytest.mark.parametrize(
    ("said", "kind", "day", "heard"),
    [
        ({}, WAITING, 0, 0),
        ({"last_seen_on": "2026-05-01"}, WAITING, 60, 60),
        ({"returned_on": "2026-04-01"}, COMEBACK, 30, 30),
        ({"returned_on": "2026-04-01", "other_cause": "hose"}, OTHER_CAUSE, 30, 30),
        ({"last_seen_on": "2026-05-01", "other_cause": "hose"}, OTHER_CAUSE, 60, 60),
        ({"other_cause": "hose"}, OTHER_CAUSE, 0, 0),
        ({"last_seen_on": "2026-02-01"}, WAITING, 0, 0),
        ({"event": "sold", "last_seen_on": "2026-05-01"}, ENDED, 60, 60),
        ({"event": "updated by air", "returned_on": "2026-04-01"}, ENDED, 30, 30),
        ({"event": "new complaint", "returned_on": "2026-04-01"}, WAITING, 0, 30),
        ({"event": "came back"}, COMEBACK, 0, 0),
        ({"event": "came back", "last_seen_on": "2026-07-01"}, COMEBACK, 0, 121),
    ],
)
def test_what_reports_group_by_follows_from_the_row(
    sqlite_shop: RunningShop, said: dict[str, str], kind: Standing, day: int, heard: int
) -> None:
    """Days from the reflash on 2 March, counted by hand."""
    take(sqlite_shop, HISTORY, history(said))
    [one] = outcomes(sqlite_shop)
    assert (one.event_kind, one.event_day, one.heard_day - one.reflashed_day) == (kind, day, heard)


def test_a_later_reflash_of_the_same_module_ends_the_count_whatever_the_order_of_rows(
    shop: RunningShop,
) -> None:
    later = {"ro_number": "2", "vin": VIN, "reflashed_on": "2026-06-01", "update": "NV-24-102"}
    other = {"ro_number": "3", "vin": VIN, "reflashed_on": "2026-07-01", "module": "TCM"}
    first = take(shop, HISTORY, history({"ro_number": "1", "vin": VIN}))
    second = take(shop, HISTORY, history(later, other))
    ends = [(one.event_kind, one.event_day) for one in outcomes(shop)]
    assert ends == [(ENDED, 91), (WAITING, 0), (WAITING, 0)]
    import_undo.undo_import(shop, LEAD, second.id)
    assert [(one.event_kind, one.event_day) for one in outcomes(shop)] == [(WAITING, 0)]
    import_undo.undo_import(shop, LEAD, first.id)


def test_what_a_later_file_tells_differently_is_changed_and_can_go_back(shop: RunningShop) -> None:
    take(shop, HISTORY, history({"vin": VIN}, {"line": "B", "vin": VIN}))
    before = everything(shop)
    changed = take(
        shop,
        HISTORY,
        history({"vin": VIN, "returned_on": "2026-04-01", "cost": "128.50"}, {"line": "B", "vin": VIN}),
    )
    assert counts(changed) == (0, 1, 1)
    told = [(one.event_kind, one.event_day, one.comeback_cost_minor) for one in outcomes(shop)]
    assert told == [(COMEBACK, 30, 12_850), (WAITING, 0, 0)]
    import_undo.undo_import(shop, LEAD, changed.id)
    assert everything(shop) == before


def test_a_concern_that_somebody_worked_on_is_kept_and_listed(shop: RunningShop) -> None:
    data = history({"vin": VIN}, {"ro_number": "9", "vin": OTHER_VIN})
    first = take(shop, HISTORY, data)
    worked_on = outcomes(shop)[0].concern_id
    with shop.writing(TECH) as desk:
        what_was_heard.record_follow_up(
            desk, worked_on, FollowUpDraft(FollowUpResult.FINE, seen_on=date(2026, 6, 1))
        )
    import_undo.undo_import(shop, LEAD, first.id)
    undone = view(shop, first.id)
    assert ("concern", worked_on) in {(one.noun, one.id) for one in undone.kept}
    assert {one.noun for one in undone.kept} == {"concern", "note", "vehicle", "repair order"}
    assert undone.removed == 1
    with shop.records.reading() as session:
        assert (count(session, ConcernRow), count(session, VehicleRow)) == (1, 1)
    assert counts(take(shop, HISTORY, data)) == (1, 0, 1)


def test_a_concern_ends_as_all_its_rows_say_whichever_file_they_came_in(shop: RunningShop) -> None:
    failed = {"vin": VIN, "gone_at_road_test": "no"}
    cured = {"vin": VIN, "update": "NV-24-102", "reflashed_on": "2026-03-09"}
    take(shop, HISTORY, history(failed))
    before = everything(shop)
    second = take(shop, HISTORY, history(failed, cured))
    assert counts(second) == (1, 0, 1)
    with shop.records.reading() as session:
        [concern] = session.exec(select(ConcernRow)).all()
    assert (concern.ending, concern.cured_by_note_id) == ("cured_by_reflash", outcomes(shop)[1].update_id)
    import_undo.undo_import(shop, LEAD, second.id)
    assert everything(shop) == before


def test_two_rows_that_heard_the_same_keep_one_each_when_one_of_them_changes(
    sqlite_shop: RunningShop,
) -> None:
    seen = {"vin": VIN, "last_seen_on": "2026-05-01"}
    other = seen | {"update": "NV-24-102", "module": "TCM"}
    take(sqlite_shop, HISTORY, history(seen, other))
    before = everything(sqlite_shop)
    changed = take(sqlite_shop, HISTORY, history(seen | {"last_seen_on": "2026-06-01"}, other))
    assert [one.event_day for one in outcomes(sqlite_shop)] == [91] * 2
    import_undo.undo_import(sqlite_shop, LEAD, changed.id)
    assert everything(sqlite_shop) == before


def test_a_comeback_of_a_known_day_stays_when_another_row_takes_back_one_of_an_unknown_day(
    sqlite_shop: RunningShop,
) -> None:
    dated = {"vin": VIN, "returned_on": "2026-05-01"}
    undated = {"vin": VIN, "update": "NV-24-102", "module": "TCM"}
    heard = undated | {"event": "came back", "last_seen_on": "2026-05-01"}
    take(sqlite_shop, HISTORY, history(heard, dated))
    take(sqlite_shop, HISTORY, history(undated, dated))
    with sqlite_shop.records.reading() as session:
        [left] = session.exec(select(FollowUpRow)).all()
    assert (left.result, left.seen_on, left.day_known) == ("came_back", date(2026, 5, 1), True)


def test_a_comeback_and_its_other_cause_of_one_day_in_two_rows_read_the_same_after_a_change_is_undone(
    sqlite_shop: RunningShop,
) -> None:
    comeback = {"vin": VIN, "returned_on": "2026-04-01"}
    explained = comeback | {"update": "NV-24-102", "module": "TCM", "other_cause": "hose"}
    take(sqlite_shop, HISTORY, history(comeback, explained))
    before = everything(sqlite_shop)
    assert [one.event_kind for one in outcomes(sqlite_shop)] == [COMEBACK] * 2
    changed = take(sqlite_shop, HISTORY, history(comeback | {"cost": "9"}, explained))
    assert [one.event_kind for one in outcomes(sqlite_shop)] == [COMEBACK] * 2
    import_undo.undo_import(sqlite_shop, LEAD, changed.id)
    assert everything(sqlite_shop) == before


def test_an_update_without_a_reflash_was_a_candidate_and_has_no_outcome(sqlite_shop: RunningShop) -> None:
    take(sqlite_shop, HISTORY, history({"reflashed_on": "", "other_cause": "cracked hose"}))
    assert outcomes(sqlite_shop) == []
    with sqlite_shop.records.reading() as session:
        [concern] = session.exec(select(ConcernRow)).all()
    assert (concern.ending, concern.other_cause, concern.state) == ("other_cause", "cracked hose", "closed")


def test_a_dry_run_of_a_history_writes_nothing(shop: RunningShop) -> None:
    before = everything(shop)
    assert counts(take(shop, HISTORY, history({}, {"ro_number": "2"}), dry_run=True)) == (2, 0, 0)
    assert everything(shop) == before


START = date(2026, 1, 1)
days = st.integers(0, 200).map(lambda n: (START + timedelta(n)).isoformat())
rows = st.fixed_dictionaries(
    {
        "ro_number": st.sampled_from("123"),
        "line": st.sampled_from(["A", "B"]),
        "reflashed_on": days | st.just(""),
    },
    optional={
        "vin": st.sampled_from([VIN, OTHER_VIN, ""]),
        "event": st.sampled_from(["E-1", "sold", "came back", ""]),
        "update": st.sampled_from(["NV-24-101", "NV-24-102", ""]),
        "module": st.sampled_from(["PCM", "TCM", ""]),
        "last_seen_on": days,
        "returned_on": st.sampled_from(["", "yes", "none"]),
        "came_back": st.sampled_from(["", "yes", "no", "sold"]),
        "other_cause": st.sampled_from(["", "hose"]),
        "gone_at_road_test": st.sampled_from(["yes", "no", ""]),
        "other_work": st.sampled_from(["", "plugs; battery"]),
        "cost": st.sampled_from(["", "12"]),
    },
)


DIFFERENTLY: list[dict[str, str]] = [
    {},
    {"last_seen_on": "2026-08-01"},
    {"module": "BCM"},
    {"gone_at_road_test": "no", "cost": "9"},
    {"other_cause": "plug"},
    {"came_back": "yes"},
    {"came_back": "", "returned_on": ""},
]


def renew_one_by_one(shop: RunningShop) -> None:
    """The slow twin: each concern by itself."""
    with shop.writing(LEAD) as desk:
        for concern_id in desk.session.exec(select(ConcernRow.id)).all():
            renew_slowly(desk, concern_id or 0)


def taken_twice_changed_and_back(
    shop: RunningShop, some: list[dict[str, str]], chance: random.Random
) -> None:
    before = everything(shop)
    first = take(shop, HISTORY, history(*some))
    taken = everything(shop)
    again = take(shop, HISTORY, history(*some))
    assert (again.created, again.changed) == (0, 0)
    assert everything(shop) == taken
    renew_one_by_one(shop)
    assert everything(shop) == taken
    changed = take(shop, HISTORY, history(*(row | chance.choice(DIFFERENTLY) for row in some)))
    assert changed.created == 0
    told = everything(shop)
    renew_one_by_one(shop)
    assert everything(shop) == told
    import_undo.undo_import(shop, LEAD, changed.id)
    assert everything(shop) == taken
    import_undo.undo_import(shop, LEAD, first.id)
    assert everything(shop) == before


IN_ONE_DATABASE = (HealthCheck.function_scoped_fixture, HealthCheck.too_slow)


@settings(max_examples=25, suppress_health_check=IN_ONE_DATABASE)
@given(st.lists(rows, min_size=1, max_size=6), st.randoms(use_true_random=False))
def test_any_history_can_be_taken_twice_changed_and_taken_back(
    sqlite_shop: RunningShop, some: list[dict[str, str]], chance: random.Random
) -> None:
    taken_twice_changed_and_back(sqlite_shop, some, chance)


@settings(max_examples=6, suppress_health_check=IN_ONE_DATABASE)
@given(st.lists(rows, min_size=4, max_size=6), st.randoms(use_true_random=False))
def test_some_histories_are_as_well_in_postgresql(
    postgres_shop: RunningShop, some: list[dict[str, str]], chance: random.Random
) -> None:
    taken_twice_changed_and_back(postgres_shop, some, chance)
