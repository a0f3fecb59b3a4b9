"""The search at the desk: current in every process, the same however it came about, exact on coverage."""

from __future__ import annotations

import threading
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kb.desk.bay.search import everything, search_memory
from kb.desk.bay.search.entries import note_entry
from kb.desk.bay.search.everything import Progress
from kb.desk.bay.search.results import SearchResult
from kb.desk.bay.search.search import SearchRequest, search
from kb.desk.context import Desk, RunningShop
from kb.desk.imports import import_undo
from kb.desk.memory import Memory
from kb.desk.notes import notes
from kb.errors import BadInput, NotFound
from kb.intake.government.titles import NOT_TOLD
from kb.nouns.notes import CodeKind, NoteCode, NoteDraft, NoteKind, NoteState
from kb.nouns.vehicles import Applies, CoverageLine, Vehicle
from kb.records.store.notes.note_texts import note_texts
from kb.search.making import Rows
from tests import patience
from tests.factories import a_note, an_update
from tests.kb.desk.imports.importing import LEAD, TECH, history, notes_file, take

pytestmark = pytest.mark.both_databases

IDLE = a_note(title="Idle hunts", symptom="idle hunts when cold", body="")


def results(shop: RunningShop, text: str, **more: object) -> list[SearchResult]:
    with shop.reading(TECH) as desk:
        return list(search(desk, SearchRequest(text, **more)).results)  # type: ignore[arg-type]


def titles(shop: RunningShop, text: str, **more: object) -> list[str]:
    return [one.title for one in results(shop, text, **more)]


def write(shop: RunningShop, draft: NoteDraft) -> int:
    with shop.writing(LEAD) as desk:
        return notes.write_note(desk, draft).id


def change(shop: RunningShop, note_id: int, **fields: object) -> None:
    with shop.writing(LEAD) as desk:
        note = notes.read_note(desk, note_id)
        draft = replace(note.content, **fields)  # type: ignore[arg-type]
        notes.change_note(desk, note_id, note.version, draft)


def builds_counted(monkeypatch: pytest.MonkeyPatch) -> list[Desk]:
    """Fills up with the desk of every request that made the index anew."""
    built: list[Desk] = []
    original = search_memory._built

    def counted(desk: Desk, now: search_memory.Seen, progress: Progress | None) -> search_memory.Held:
        built.append(desk)
        return original(desk, now, progress)

    monkeypatch.setattr(search_memory, "_built", counted)
    return built


def test_every_save_is_found_by_the_next_request_in_every_process(
    shop: RunningShop, twin: RunningShop
) -> None:
    assert titles(twin, "hunts") == []
    note_id = write(shop, IDLE)
    assert titles(shop, "hunts") == titles(twin, "hunts") == ["Idle hunts"]
    change(shop, note_id, title="Rough at stop lights", symptom="shakes")
    assert titles(twin, "hunts") == []
    assert titles(twin, "stop lights") == ["Rough at stop lights"]
    with twin.writing(LEAD) as desk:
        notes.retire_note(desk, note_id, 2, "superseded")
    assert titles(shop, "stop lights") == titles(twin, "stop lights") == []
    with shop.writing(LEAD) as desk:
        notes.publish_note(desk, note_id, 3)
    assert titles(twin, "stop lights") == ["Rough at stop lights"]


def test_an_import_and_its_undo_reach_the_other_process(shop: RunningShop, twin: RunningShop) -> None:
    write(shop, IDLE)
    assert titles(twin, "hunts") == ["Idle hunts"]
    taken = take(shop, "notes", notes_file({"title": "Fuel smell after refuel"}))
    assert titles(twin, "fuel smell") == ["Fuel smell after refuel"]
    import_undo.undo_import(shop, LEAD, taken.id)
    assert titles(twin, "fuel smell") == []
    assert titles(twin, "hunts") == ["Idle hunts"]


def test_a_note_that_was_not_saved_after_all_is_not_found(shop: RunningShop) -> None:
    assert titles(shop, "hunts") == []
    with pytest.raises(NotFound), shop.writing(LEAD) as desk:
        notes.retire_note(desk, notes.write_note(desk, IDLE).id + 1, 1, "there is no such note")
    assert titles(shop, "hunts") == []


def test_a_request_that_began_earlier_does_not_throw_the_newer_index_away(
    sqlite_shop: RunningShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(sqlite_shop, IDLE)
    built = builds_counted(monkeypatch)
    titles(sqlite_shop, "hunts")
    with sqlite_shop.reading(TECH) as early:
        early.revisions()
        write(sqlite_shop, replace(IDLE, title="Idle hunts when hot"))
        assert len(titles(sqlite_shop, "hunts")) == 2
        search(early, SearchRequest("hunts"))
    assert len(titles(sqlite_shop, "hunts")) == 2
    assert len(built) == 1


def test_many_requests_at_once_build_one_index(
    sqlite_shop: RunningShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(sqlite_shop, IDLE)
    built = builds_counted(monkeypatch)
    found: list[list[str]] = []
    threads = [threading.Thread(target=lambda: found.append(titles(sqlite_shop, "hunts"))) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (len(built), found) == (1, [["Idle hunts"]] * 6)


def test_an_index_made_at_the_start_is_waited_for_and_not_made_twice(
    sqlite_shop: RunningShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(sqlite_shop, IDLE)
    built = builds_counted(monkeypatch)
    begun, go_on = threading.Event(), threading.Event()
    taken_in = everything.taken_in

    def slowly(desk: Desk, progress: Progress | None) -> Rows:
        begun.set()
        go_on.wait(patience.LONG)
        return taken_in(desk, progress)

    monkeypatch.setattr(everything, "taken_in", slowly)
    held: list[int] = []
    found: list[list[str]] = []
    start = threading.Thread(target=lambda: held.append(search_memory.warm(sqlite_shop)))
    start.start()
    begun.wait(patience.LONG)
    early = threading.Thread(target=lambda: found.append(titles(sqlite_shop, "hunts")))
    early.start()
    early.join(0.2)
    assert found == []  # it waits
    go_on.set()
    start.join()
    early.join()
    assert (held, found, len(built)) == ([1], [["Idle hunts"]], 1)


def test_the_vehicle_decides_what_applies(shop: RunningShop) -> None:
    old = CoverageLine("Norvane", "Tessel", ((2017, 2018),))
    wide = CoverageLine("Norvane", "", ((2017, 2021),), engine="2.0L")
    built = CoverageLine("Norvane", "Tessel", built_to=date(2019, 6, 1))
    write(shop, an_update(number="old", title="Bucks, old", coverage=(old,)))
    write(shop, an_update(number="wide", title="Bucks, wide", coverage=(wide,)))
    write(shop, an_update(number="built", title="Bucks, built", coverage=(built,)))

    def standing(**asked: object) -> dict[str, Applies]:
        return {one.number: one.applies for one in results(shop, "bucks", **asked)}

    typed = {"make": "NOR-VANE", "model": "tessel", "year": 2020}
    assert standing(**typed) == {"wide": Applies.YES, "built": Applies.YES}
    recorded = Vehicle("Norvane", "Tessel", 2020, engine="3.5L V6", built_on=date(2020, 1, 2))
    assert standing(vehicle=recorded) == {}
    unsure = Vehicle("Norvane", "Tessel", 2020)
    assert standing(vehicle=unsure) == {"wide": Applies.CANNOT_TELL, "built": Applies.CANNOT_TELL}
    everything = standing(vehicle=recorded, include_not_applying=True)
    assert everything == dict.fromkeys(("old", "wide", "built"), Applies.NO)


def test_results_carry_what_the_update_did_here(shop: RunningShop) -> None:
    """Rates of design.md section 6: failed at road test counts at once, a cure only at the window."""
    write(shop, an_update(number="NV-24-101", title="Bucks and jerks"))
    rows = [
        {"ro_number": "1", "reflashed_on": "2026-03-01", "last_seen_on": "2026-07-01"},
        {"ro_number": "2", "reflashed_on": "2026-03-01", "gone_at_road_test": "no"},
        {"ro_number": "3", "reflashed_on": "2026-10-20"},
    ]
    take(shop, "history", history(*rows))
    [update] = [one for one in results(shop, "jerks", kinds=("bulletin",)) if one.number == "NV-24-101"]
    assert update.record is not None
    assert (update.record.cured, update.record.tried) == (1, 2)
    past = results(shop, "bucks uphill", kinds=("concern",))
    assert {one.number for one in past} == {"RO 1-A", "RO 2-A", "RO 3-A"}


def test_nothing_to_search_for_is_an_answer_and_a_strange_kind_is_not(sqlite_shop: RunningShop) -> None:
    with sqlite_shop.reading(TECH) as desk:
        view = search(desk, SearchRequest("  "))
        assert (view.results, bool(view.message)) == ((), True)
        with pytest.raises(BadInput):
            search(desk, SearchRequest("stall", kinds=("recipe",)))
        with pytest.raises(BadInput):
            search(desk, SearchRequest("stall", year=1700))


STEPS = st.lists(
    st.tuples(
        st.sampled_from(["write", "change", "retire", "kind"]),
        st.integers(0, 3),
        st.sampled_from(["surge", "stall", "harsh shift", "no crank", "blank display"]),
    ),
    min_size=1,
    max_size=8,
)


@settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(STEPS)
def test_an_index_brought_up_step_by_step_finds_what_one_made_anew_finds(
    sqlite_shop: RunningShop, steps: list[tuple[str, int, str]]
) -> None:
    ids: list[int] = []
    for action, which, words in steps:
        if action == "write" or not ids:
            ids.append(write(sqlite_shop, a_note(title=words, symptom=words, body="")))
        elif action == "change":
            change(sqlite_shop, ids[which % len(ids)], title=words, symptom=words)
        elif action == "kind":
            change(sqlite_shop, ids[which % len(ids)], kind=NoteKind.BULLETIN)
        else:
            change(sqlite_shop, ids[which % len(ids)], state=NoteState.RETIRED)
        brought_up = _found(sqlite_shop, words)
    fresh = RunningShop(sqlite_shop.records, sqlite_shop.facts, sqlite_shop.clock)
    fresh.memory = Memory()
    assert _found(fresh, words) == brought_up


def _found(shop: RunningShop, words: str) -> set[tuple[str, int, str]]:
    """Scores may differ while the usual length of a text is that of the last full build; finds may not."""
    return {(one.kind, one.id, one.title) for one in results(shop, words, limit=100)}


def test_a_code_that_a_note_says_is_not_part_of_it_does_not_find_it(shop: RunningShop) -> None:
    codes = (NoteCode("P0733", CodeKind.MAY_BE_STORED), NoteCode("P0741", CodeKind.NOT_PART))
    write(shop, replace(an_update(), codes=codes))
    assert [one.number for one in results(shop, "", codes=("P0733",))] == ["NV-24-101"]
    assert results(shop, "", codes=("P0741",)) == []


def test_a_title_that_says_only_that_nothing_is_told_is_not_searched(shop: RunningShop) -> None:
    write(shop, a_note(title=NOT_TOLD, symptom="shudder", body=""))
    write(shop, a_note(title="What it is about: wipers", symptom="judder", body=""))
    with shop.reading(TECH) as desk:
        found = [note_entry(one).title for one in note_texts(desk.session, [1, 2])]
    assert [title.strip() for title in found] == ["", "What it is about: wipers"]
