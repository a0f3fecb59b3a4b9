"""Recording what was done to modules, and what the road test said."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.advice import advice
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.programming import answered_for, programmed, programming, sittings
from kb.desk.bay.seen import photos
from kb.desk.context import Desk
from kb.desk.shop import equipment, subscriptions
from kb.errors import Conflict, KbError
from kb.nouns.advice_inputs import StopKind
from kb.nouns.bay.instead import WHY_NOT
from kb.nouns.concerns import (
    INSTALLED,
    UNFINISHED,
    Duplicated,
    ProgrammingEventDraft,
    RoadTest,
)
from web.answers_moved import with_moved
from web.forms import TypedForm
from web.pages.bay.on_concern import on_concern
from web.pages.bay.programming_typed import MOST_MODULES, beside_its_fields, event_typed
from web.pages.bay.seen import on_programming as seen_on_programming
from web.pages.bay.seen import rows as seen_rows
from web.pages.bay.seen.photos_sent import ids_of, kept_with, read_and_kept
from web.query_values import OptionalId
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/concerns/{concern_id}")

# Work in the same visit that makes "cured by the update" unknowable; common practice, no source.
OTHER_WORK = (
    "spark plugs or coils",
    "battery replaced",
    "codes cleared only",
    "adaptives reset",
    "connector reseated",
    "ground or wiring repair",
    "fluid service",
    "part replaced",
)


def _road_test_form(visit: Visit, concern_id: int, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        concern = read_concern(desk, concern_id)
    return visit.page(
        "programming/road_test.html",
        place="/concerns",
        concern=concern,
        refused=refused,
    )


def _form(
    visit: Visit, concern_id: int, begin: dict[str, Any] | None = None, refused: KbError | None = None
) -> Response:
    refused = refused and beside_its_fields(refused, visit.typed)
    with visit.reading() as desk:
        context = on_concern(desk, concern_id) | {
            "equipment": equipment.for_events(desk),
            "subscriptions": [s for s in subscriptions.list_subscriptions(desk) if s.runs_on(desk.today)],
            **updates_and_stops(desk, concern_id),
            "kept": kept_with(desk, concern_id, visit.typed),
        }
    on_record = refused.details if isinstance(refused, Conflict) else {}
    return visit.page(
        "programming/event.html",
        place="/concerns",
        on_record=on_record,
        begin=begin or {"result": "", "update": None},
        other_work=OTHER_WORK,
        reasons=[(why, why) for why in WHY_NOT],
        most=MOST_MODULES,
        refused=refused,
        **seen_rows.shown(visit.typed, seen_on_programming.TAKEN),
        **context,
    )


@router.get("/programming")
def show(visit: Somebody, concern_id: int, result: str = "", update: OptionalId = None) -> Response:
    return _form(visit, concern_id, begin={"result": result, "update": update})


@router.post("/programming/read")
@shown_again(_form, KbError)
def read_it(visit: Somebody, concern_id: int) -> Response:
    """What photos, files and a text say, beside the form as it was typed; the photos are kept."""
    return _form(visit.with_form(read_and_kept(visit, concern_id)), concern_id)


@router.post("/programming/fill")
def fill(visit: Somebody, concern_id: int) -> Response:
    """The form with what was ticked; what was typed stays."""
    if not seen_rows.ticked(visit.typed, seen_on_programming.TAKEN):
        return _form(visit.with_form(seen_rows.with_nothing_ticked(visit.typed)), concern_id)
    return _form(visit.with_form(seen_on_programming.filled(visit.typed)), concern_id)


@router.post("/programming")
@shown_again(_form, KbError)
def record(visit: Somebody, concern_id: int) -> Response:
    if seen_rows.waits_to_be_read(visit.typed):
        return _form(visit.with_form(read_and_kept(visit, concern_id)), concern_id)
    event = event_typed(visit.typed, concern_id)
    with visit.writing() as desk:
        why = ", ".join((*visit.typed.all("why"), *visit.typed.all("why_in_words")))
        answered_for.answer_for(desk, concern_id, event, reasons_typed(visit.typed), why)
        event_id = _record(desk, visit.typed, event)
        photos.give_to_event(desk, concern_id, event_id, ids_of(visit.typed))
    failed = any(m.result in UNFINISHED for m in event.modules)
    if failed:
        return visit.go(f"/concerns/{concern_id}", said="Written down. Tell the lead.")
    if not any(m.result in INSTALLED for m in event.modules):
        return visit.go(f"/concerns/{concern_id}", said="Written down.")
    if event.road_test is RoadTest.NOT_DONE:
        return visit.go(f"/concerns/{concern_id}/release", said="Programming written down.")
    return visit.go(f"/concerns/{concern_id}/release", said="Programming and road test written down.")


def _record(desk: Desk, typed: TypedForm, event: ProgrammingEventDraft) -> int:
    sitting = typed.whole("sitting")
    if typed.text("again") == "same_sitting" and sitting is not None:
        return sittings.join_sitting(desk, sitting, event)
    return programming.record_event(desk, event, done_twice=typed.text("again") == "done_twice")


@router.get("/road-test")
def show_road_test(visit: Somebody, concern_id: int) -> Response:
    return _road_test_form(visit, concern_id)


@router.post("/road-test")
@shown_again(_road_test_form, KbError)
def record_road_test(visit: Somebody, concern_id: int) -> Response:
    typed = visit.typed
    road_test = typed.must_be_one_of("road_test", RoadTest, "Say how it drove.")
    before = typed.must_be_one_of("duplicated_before", Duplicated, "Say whether you saw it before.")
    was = typed.must_be_one_of("was", RoadTest, "Load the page again.") if typed.text("was") else None
    with visit.writing() as desk:
        programming.record_road_test(desk, concern_id, road_test, before, was=was)
    said = with_moved(visit, "Road test written down.", concern_id, road_tested=True)
    return visit.go(f"/concerns/{concern_id}/release", said=said)


def reasons_typed(typed: TypedForm) -> dict[str, str]:
    """Why each stop is overridden, by its kind."""
    return {kind.value: typed.text(f"override_{kind.value}") for kind in StopKind}


def updates_and_stops(desk: Desk, concern_id: int) -> dict[str, Any]:
    """The candidates, then what was programmed here before: it may be recovered, or one sitting for two."""
    said = advice.give_advice(desk, concern_id)
    offered = {one.note: (one.number, one.title) for one in said.candidates}
    done = {one.note_id: (one.number, one.title) for one in programmed.programmed_before(desk, concern_id)}
    named = [(str(note), f"{number} {title}"[:80]) for note, (number, title) in (offered | done).items()]
    return {
        "updates": named,
        "offered": bool(offered),
        "stops": answered_for.to_override(desk, concern_id),
        "asks_why": answered_for.asks_why(desk, concern_id),
        "passed_by": answered_for.passed_by(desk, concern_id),
    }
