"""A history that stops half-way: every process counts the same, it can be carried on, and taken back."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from zoneinfo import ZoneInfo

import pytest

from kb.desk.context import RunningShop
from kb.desk.imports import import_undo, imports, slices
from kb.desk.imports.import_told import ImportState
from kb.desk.review.reports import ReportFilter, reflash_report
from tests.conftest import StandingClock
from tests.kb.desk.imports.importing import LEAD, FailsOnce, counts, everything, history, take, view

pytestmark = pytest.mark.both_databases

FILE = history(*({"ro_number": str(number)} for number in range(8)))


def tried(shop: RunningShop) -> int:
    with shop.reading(LEAD) as desk:
        return reflash_report(desk, ReportFilter()).report.shop.tried


@contextmanager
def another_process(shop: RunningShop) -> Iterator[RunningShop]:
    other = RunningShop.open(shop.records.engine.url.render_as_string(hide_password=False), clock=shop.clock)
    yield other
    other.close()


def stopped(shop: RunningShop, monkeypatch: pytest.MonkeyPatch) -> int:
    """An import that failed in its third batch, and the batch was written when it did."""
    monkeypatch.setattr(imports, "ROWS_A_BATCH", 2)
    with monkeypatch.context() as patched:
        patched.setattr(imports, "count_batch", FailsOnce(imports.count_batch, 3))
        with pytest.raises(OSError, match="no space"):
            take(shop, "history", FILE)
    with shop.reading(LEAD) as desk:
        job, *_earlier = imports.list_imports(desk)
    assert (job.state, job.done) == (ImportState.STOPPED, 4)
    return job.id


def test_every_process_counts_the_same_of_an_import_that_stopped(
    shop: RunningShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    with another_process(shop) as other:
        assert (tried(shop), tried(other)) == (0, 0)
        stopped(shop, monkeypatch)
        with another_process(shop) as fresh:
            assert [tried(one) for one in (shop, other, fresh)] == [4, 4, 4]


def test_every_process_counts_the_same_of_an_undo_that_stopped_and_it_can_be_carried_on(
    shop: RunningShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = everything(shop)
    job = take(shop, "history", FILE).id
    for size in ("FIRST", "FEWEST", "MOST"):
        monkeypatch.setattr(slices, size, 3)
    with another_process(shop) as other:
        assert (tried(shop), tried(other)) == (8, 8)
        with monkeypatch.context() as patched:
            patched.setattr(import_undo.store, "forget", FailsOnce(import_undo.store.forget, 2))
            with pytest.raises(OSError, match="no space"):
                import_undo.undo_import(shop, LEAD, job)
        with another_process(shop) as fresh:
            assert [tried(one) for one in (shop, other, fresh)] == [5, 5, 5]
    import_undo.undo_import(shop, LEAD, job)
    assert (everything(shop), view(shop, job).removed) == (before, 9)


def test_an_import_that_stopped_is_carried_on_as_if_it_had_not(
    shop: RunningShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = everything(shop)
    job = stopped(shop, monkeypatch)
    import_undo.undo_import(shop, LEAD, job)
    assert everything(shop) == before
    whole = take(shop, "history", FILE)
    taken = {name: len(rows) for name, rows in everything(shop).items()}
    import_undo.undo_import(shop, LEAD, whole.id)
    assert everything(shop) == before
    monkeypatch.setattr(imports, "count_batch", FailsOnce(imports.count_batch, 3))
    with pytest.raises(OSError, match="no space"):
        take(shop, "history", FILE)
    carried_on = take(shop, "history", FILE)
    assert (counts(carried_on), carried_on.done, carried_on.state) == ((8, 0, 0), 8, ImportState.DONE)
    assert {name: len(rows) for name, rows in everything(shop).items()} == taken
    import_undo.undo_import(shop, LEAD, carried_on.id)
    assert everything(shop) == before


def test_a_dry_run_that_died_offers_no_undo_of_nothing(
    sqlite_shop: RunningShop, clock: StandingClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = dies(sqlite_shop, monkeypatch, dry_run=True)
    clock.move(minutes=6)
    said = view(sqlite_shop, job).sentence
    assert "saved nothing" in said
    assert "undo" not in said


def dies(shop: RunningShop, monkeypatch: pytest.MonkeyPatch, **more: bool) -> int:
    """An import whose process was killed after its second batch: nothing more is written, not even that."""
    monkeypatch.setattr(imports, "ROWS_A_BATCH", 2)
    with monkeypatch.context() as patched:
        patched.setattr(imports, "count_batch", FailsOnce(imports.count_batch, 3))
        patched.setattr(imports, "stop_job", lambda *_: None)
        with pytest.raises(OSError, match="no space"):
            take(shop, "history", FILE, **more)
    with shop.reading(LEAD) as desk:
        return imports.list_imports(desk)[0].id


def test_an_import_that_died_says_when_it_moved_last_and_is_taken_up_without_taking_anything_twice(
    sqlite_shop: RunningShop, clock: StandingClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = dies(sqlite_shop, monkeypatch)
    working = view(sqlite_shop, job)
    assert (working.state, working.standing_still) == (ImportState.RUNNING, False)
    assert working.sentence.startswith("4 of 8 taken so far, the last at ")
    began = clock()
    clock.move(seconds=4)
    assert not view(sqlite_shop, job).standing_still
    clock.move(seconds=6)
    dead = view(sqlite_shop, job)
    here = began.astimezone(ZoneInfo(sqlite_shop.facts.timezone))
    hour = here.strftime("%I:%M %p").lstrip("0")
    assert dead.standing_still
    assert dead.sentence.startswith(
        f"Stopped making progress at {hour}, with 4 of 8 taken. Carry it on; what was taken is not taken"
    )
    clock.move(days=1)
    assert f"{hour} on {here:%b} {here.day}, {here.year}" in view(sqlite_shop, job).sentence
    again = take(sqlite_shop, "history", FILE)
    assert (again.id, counts(again), again.standing_still) == (job, (8, 0, 0), False)
    assert tried(sqlite_shop) == 8


def test_imports_half_taken_are_told_and_whole_dry_or_undone_ones_are_not(
    shop: RunningShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    def told() -> list[int]:
        with shop.reading(LEAD) as desk:
            return [one.id for one in imports.half_taken(desk)]

    take(shop, "history", history({"ro_number": "90"}))
    take(shop, "history", history({"ro_number": "91"}), dry_run=True)
    assert told() == []
    job = stopped(shop, monkeypatch)
    assert told() == [job]
    with monkeypatch.context() as patched:
        patched.setattr(import_undo.store, "forget", FailsOnce(import_undo.store.forget, 1))
        with pytest.raises(OSError, match="no space"):
            import_undo.undo_import(shop, LEAD, job)
    assert told() == [job]
    import_undo.undo_import(shop, LEAD, job)
    assert told() == []
