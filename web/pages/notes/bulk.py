"""Changing many notes at once: what will happen is said first, and all of it can be undone."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.responses import Response

from api.after_the_answer import PAGE_WAITS, run_apart
from kb.desk.notes import bulk, bulk_undo
from kb.desk.notes.bulk import Chosen
from kb.desk.notes.notes import NoteFilter
from kb.errors import KbError
from kb.nouns.lead.bulk_changes import BulkAction, BulkAsk
from kb.nouns.lead.notes_wanted import makes_in
from kb.nouns.notes import NoteKind, NoteState
from web.forms import TypedForm
from web.visits import Somebody, Visit

FILTERS = ("kind", "state", "make", "text")

router = APIRouter(prefix="/notes/bulk")


def filter_of(kind: str = "", state: str = "", make: str = "", text: str = "", page: int = 1) -> NoteFilter:
    """The list that an address asks for; a kind or state that is none asks nothing."""
    return NoteFilter(
        kind=NoteKind(kind) if kind in set(NoteKind) else None,
        state=NoteState(state) if state in set(NoteState) else None,
        make=make,
        text=text,
        page=page,
    )


@router.get("")
def show_changes(visit: Somebody) -> Response:
    """The last changes, so that one can be undone later too."""
    visit.only("lead", "owner")
    with visit.reading() as desk:
        return visit.page("notes/bulk_list.html", place="/notes", changes=bulk.list_bulks(desk))


@router.post("")
def change(visit: Somebody) -> Response:
    """Say what will happen (`do=look`), or do it."""
    typed = visit.typed
    try:
        ask, chosen = _ask(typed), _chosen(typed)
        if typed.text("do") != "change":
            with visit.reading() as desk:
                plan = bulk.plan_bulk(desk, ask, chosen)
            return _plan_page(visit, ask=ask, plan=plan, ids=chosen.ids)
        with visit.writing() as desk:
            bulk_id, ids = bulk.begin_bulk(desk, ask, chosen, typed.whole("expected"))
    except KbError as refused:
        return _plan_page(visit, refused=refused)
    there = visit.go(f"/notes/bulk/{bulk_id}")
    run_apart(lambda: bulk.carry_on_bulk(visit.shop, visit.actor, bulk_id, ids), PAGE_WAITS)
    return there


@router.get("/{bulk_id}")
def show(visit: Somebody, bulk_id: int) -> Response:
    """What came of one change."""
    visit.only("lead", "owner")
    with visit.reading() as desk:
        found = bulk.read_bulk(desk, bulk_id)
    return visit.page("notes/bulk.html", place="/notes", change=found)


@router.post("/{bulk_id}/undo")
def undo(visit: Somebody, bulk_id: int) -> Response:
    with visit.reading() as desk:
        bulk.read_bulk(desk, bulk_id)
    there = visit.go(f"/notes/bulk/{bulk_id}")
    run_apart(lambda: bulk_undo.undo_bulk(visit.shop, visit.actor, bulk_id), PAGE_WAITS)
    return there


def _ask(typed: TypedForm) -> BulkAsk:
    action = typed.must_be_one_of("action", BulkAction, "Choose what to do with the notes.")
    return BulkAsk(action, typed.text("why"), typed.text("module"), makes_in(typed.text("makes")))


def _chosen(typed: TypedForm) -> Chosen:
    if typed.ticked("whole_list"):
        kind, state, make, text = map(typed.text, FILTERS)
        return Chosen(of_list=filter_of(kind, state, make, text))
    return Chosen(tuple(int(one) for one in typed.all("note") if one.isdecimal() and len(one) < 10))


def _plan_page(visit: Visit, refused: KbError | None = None, **plan: Any) -> Response:
    asked = {name: visit.typed.text(name) for name in FILTERS}
    return visit.page("notes/bulk_plan.html", place="/notes", asked=asked, refused=refused, **plan)
