"""An undo holds the pen for a moment at a time, and a server that dies in between leaves nothing half."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.desk.context import RunningShop
from kb.desk.imports import import_undo, imports
from kb.desk.imports.slices import A_MOMENT, FEWEST, FIRST, MOST, Slices
from kb.desk.notes import notes
from kb.records.store.imports import imports as store
from tests.bench.imports.undo import notes_file
from tests.kb.desk.imports.importing import LEAD, everything, view

pytestmark = pytest.mark.both_databases
NOTES = 130


class Died(Exception):
    """A server that was killed."""


@contextmanager
def slow(self: Slices) -> Iterator[int]:
    """Slices of a computer on which a note takes as long as a whole moment."""
    yield self.size
    self.size = FEWEST


def test_another_process_writes_between_and_one_that_died_is_carried_on(
    shop: RunningShop, twin: RunningShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, between = everything(shop), list[int]()
    job = imports.run_import(shop, LEAD, "notes", "notes.csv", notes_file(NOTES))

    def twin_writes(_: Slices) -> None:
        with twin.writing(LEAD) as desk:
            between.append(desk.bump("lexicon"))
        if len(between) == 4:
            raise Died

    monkeypatch.setattr(Slices, "one", slow)
    monkeypatch.setattr(Slices, "let_others", twin_writes)
    with pytest.raises(Died):
        import_undo.undo_import(shop, LEAD, job)
    gone = FIRST + 3 * FEWEST
    with twin.reading(LEAD) as desk:
        ids = [one.noun_id for one in store.taken_by(desk.session, job, store.NOTE, 0, NOTES)]
        whole = [len(notes.list_revisions(desk, one)) for one in ids]
        told = imports.read_import(desk, job)
    assert whole == [1] * (NOTES - gone)
    assert (told.state, told.removed) == ("undoing", gone)
    import_undo.undo_import(twin, LEAD, job)
    assert everything(shop) == before
    assert view(shop, job).removed == NOTES


@given(st.lists(st.floats(1e-5, 0.02), min_size=12, max_size=40))
def test_after_a_few_slices_none_takes_much_longer_than_a_moment(each: list[float]) -> None:
    """However long a thing takes, if it takes alike: worked out by hand from the times alone."""
    now, many = [0.0], Slices(lambda: now[0])
    takes = each[0]
    for _ in each:
        with many.one() as size:
            now[0] += size * takes
        assert FEWEST <= many.size <= MOST
    assert many.size * takes <= max(A_MOMENT * 1.01, FEWEST * takes)
    assert many.size == MOST or (many.size + 2) * takes > A_MOMENT or FEWEST * takes > A_MOMENT
