"""Many notes at once: the same as one by one, told beforehand, and undone exactly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kb.desk.context import RunningShop
from kb.desk.notes import bulk, bulk_undo, merging_notes, notes
from kb.desk.notes.bulk import Chosen
from kb.desk.notes.notes import NoteFilter
from kb.errors import BadInput, Conflict, NotAllowed
from kb.nouns.lead.bulk_changes import BulkAction, BulkAsk, BulkState, WhyLeft
from kb.nouns.notes import Note, NoteDraft, NoteState
from kb.nouns.people import Actor
from kb.nouns.vehicles import CalibrationStep, CoverageLine
from kb.records.store.shop import shop as shop_store
from tests.factories import a_note, actor_of, an_update
from tests.statements import statements_of

RETIRE = BulkAsk(BulkAction.RETIRE, why="superseded")
PUBLISH = BulkAsk(BulkAction.PUBLISH)


def write(shop: RunningShop, *drafts: NoteDraft) -> list[int]:
    with shop.writing(actor_of(shop, "lead")) as desk:
        return [notes.write_note(desk, draft).id for draft in drafts]


def on_file(shop: RunningShop, ids: Sequence[int]) -> list[Note]:
    with shop.reading(actor_of(shop, "lead")) as desk:
        return [notes.read_note(desk, note_id) for note_id in ids]


def everything(shop: RunningShop, ids: Sequence[int]) -> list[object]:
    """Each note with every version that was ever saved of it."""
    with shop.reading(actor_of(shop, "lead")) as desk:
        return [(notes.read_note(desk, i), notes.list_revisions(desk, i)) for i in ids]


def change(shop: RunningShop, ask: BulkAsk, ids: Sequence[int]) -> int:
    return changed_by(shop, actor_of(shop, "lead"), ask, Chosen(tuple(ids)))


def changed_by(
    shop: RunningShop, actor: Actor, ask: BulkAsk, chosen: Chosen, expected: int | None = None
) -> int:
    """The change from its beginning to its end, as a page or a program has it done."""
    with shop.writing(actor) as desk:
        bulk_id, ids = bulk.begin_bulk(desk, ask, chosen, expected)
    bulk.carry_on_bulk(shop, actor, bulk_id, ids)
    return bulk_id


def undo(shop: RunningShop, bulk_id: int) -> bulk.BulkChange:
    bulk_undo.undo_bulk(shop, actor_of(shop, "lead"), bulk_id)
    with shop.reading(actor_of(shop, "lead")) as desk:
        return bulk.read_bulk(desk, bulk_id)


makes = st.lists(st.sampled_from(["Tarn", "Norvane", "Ostrel"]), min_size=1, max_size=2, unique=True)
lines = st.builds(CoverageLine, st.sampled_from(["Tarn", "Norvane"]), st.sampled_from(["", "Vell", "Tessel"]))
drafts = st.builds(
    lambda n, state, coverage, module: a_note(
        title=f"Note {n}", state=state, coverage=tuple(dict.fromkeys(coverage)), remedy_module=module
    ),
    st.integers(0, 99),
    st.sampled_from(NoteState),
    st.lists(lines, max_size=3),
    st.sampled_from(["", "TCM"]),
)
asks = st.one_of(
    st.sampled_from([RETIRE, PUBLISH, BulkAsk(BulkAction.SET_MODULE, module="TCM")]),
    st.builds(lambda some: BulkAsk(BulkAction.SET_MAKES, makes=tuple(some)), makes),
)


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_it_does_what_saving_one_by_one_does_and_undo_puts_back_every_version(
    sqlite_shop: RunningShop, data: st.DataObject
) -> None:
    """The slow twin writes the same notes again and saves each by hand, as a person would."""
    said = data.draw(st.lists(drafts, min_size=1, max_size=6))
    ids, twins = write(sqlite_shop, *said), write(sqlite_shop, *said)
    before, ask = everything(sqlite_shop, ids), data.draw(asks)
    edited = data.draw(st.sets(st.sampled_from(range(len(ids)))))
    done = change(sqlite_shop, ask, ids)
    written = on_file(sqlite_shop, twins)
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        for note in written:
            if (wanted := ask.of(note.content)) != note.content:
                notes.change_note(desk, note.id, note.version, wanted)
    now, by_hand = on_file(sqlite_shop, ids), on_file(sqlite_shop, twins)
    assert [(n.version, n.content) for n in now] == [(n.version, n.content) for n in by_hand]
    touched = {n.id for n in now if n.version > 1} & {ids[i] for i in edited}
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        for note in (n for n in now if n.id in touched):
            notes.change_note(desk, note.id, note.version, replace(note.content, body="edited since"))
    result = undo(sqlite_shop, done)
    assert {one.id for one in result.left} == touched
    assert all(one.why is WhyLeft.EDITED_SINCE for one in result.left)
    after = everything(sqlite_shop, ids)
    assert [a for a, i in zip(after, ids, strict=True) if i not in touched] == [
        b for b, i in zip(before, ids, strict=True) if i not in touched
    ]
    assert all(n.content.body == "edited since" for n in on_file(sqlite_shop, sorted(touched)))


@pytest.mark.both_databases
def test_what_cannot_be_published_is_left_and_listed(shop: RunningShop) -> None:
    kept, duplicate = write(shop, a_note(title="Kept"), a_note(title="Double"))
    [forth, back, plain] = write(
        shop,
        an_update(number="A", state=NoteState.DRAFT, steps=(CalibrationStep("PCM", ("1A",), "1B"),)),
        an_update(number="B", state=NoteState.DRAFT, steps=(CalibrationStep("PCM", ("1B",), "1A"),)),
        a_note(title="Plain", state=NoteState.DRAFT),
    )
    with shop.writing(actor_of(shop, "lead")) as desk:
        merging_notes.merge_notes(desk, kept, duplicate)
        plan = bulk.plan_bulk(desk, PUBLISH, Chosen((kept, duplicate, forth, back, plain)))
    assert (plan.total, plan.so_already, plan.merged, plan.would_change) == (5, 1, 1, 3)
    done = change(shop, PUBLISH, [kept, duplicate, forth, back, plain])
    with shop.reading(actor_of(shop, "tech")) as desk:
        found = bulk.read_bulk(desk, done)
    assert (found.changed, found.so_already, found.state) == (2, 1, BulkState.DONE)
    assert [(one.id, one.why) for one in found.left] == [
        (duplicate, WhyLeft.MERGED),
        (back, WhyLeft.CIRCLE),
    ]
    assert [n.content.state.value for n in on_file(shop, [forth, back, plain])] == [
        "published",
        "draft",
        "published",
    ]


@pytest.mark.both_databases
def test_an_undo_leaves_what_would_close_a_circle_and_asks_for_the_steps_once(shop: RunningShop) -> None:
    ids = write(
        shop,
        an_update(number="A", steps=(CalibrationStep("PCM", ("1A",), "1B"),)),
        an_update(number="C", steps=(CalibrationStep("PCM", ("2A",), "2B"),)),
        an_update(number="D", steps=(CalibrationStep("TCM", ("3A",), "3B"),)),
    )
    done = change(shop, RETIRE, ids)
    write(shop, an_update(number="B", steps=(CalibrationStep("PCM", ("1B",), "1A"),)))
    with statements_of(shop.records.engine) as asked:
        result = undo(shop, done)
    assert [(one.id, one.why) for one in result.left] == [(ids[0], WhyLeft.CIRCLE)]
    assert [n.content.state.value for n in on_file(shop, ids)] == ["retired", "published", "published"]
    assert sum("FROM note_step JOIN note" in one for one in asked) == 1


@pytest.mark.both_databases
def test_all_of_a_list_is_changed_unless_the_list_is_another_by_then(shop: RunningShop) -> None:
    write(shop, *(a_note(title=f"Shudder {n}") for n in range(3)), a_note(title="Other"))
    lead, chosen = actor_of(shop, "lead"), Chosen(of_list=NoteFilter(text="shudder"))
    with pytest.raises(Conflict, match="holds 3 notes by now, not 2"):
        changed_by(shop, lead, RETIRE, chosen, expected=2)
    done = changed_by(shop, lead, RETIRE, chosen, expected=3)
    with shop.reading(lead) as desk:
        assert notes.list_notes(desk, NoteFilter(state=NoteState.RETIRED)).total == 3
        [line] = shop_store.trail(desk.session, desk.shop.id, noun="notes", noun_id=done)
        assert (line.action, line.detail["changed"], line.who) == ("retire in bulk", 3, "lead")
    assert undo(shop, done).put_back == 3
    with pytest.raises(BadInput, match="undone already"):
        bulk_undo.undo_bulk(shop, lead, done)


def test_what_is_missing_is_asked_for_and_technicians_may_not(sqlite_shop: RunningShop) -> None:
    ids = write(sqlite_shop, a_note())
    for ask, chosen, says in (
        (BulkAsk(BulkAction.RETIRE, why=" "), ids, "why"),
        (BulkAsk(BulkAction.SET_MODULE), ids, "module"),
        (BulkAsk(BulkAction.SET_MAKES, makes=(" ",)), ids, "makes"),
        (PUBLISH, [], "at least one"),
        (PUBLISH, [10_000], "at least one"),
    ):
        with pytest.raises(BadInput, match=says):
            change(sqlite_shop, ask, chosen)
    with pytest.raises(NotAllowed):
        changed_by(sqlite_shop, actor_of(sqlite_shop, "tech"), RETIRE, Chosen(tuple(ids)))
