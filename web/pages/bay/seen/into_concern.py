"""Reading a photo, a file or a text into a concern that is open: codes, voltages, its modules' numbers."""

from __future__ import annotations

from collections.abc import Iterable

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.concern import facts
from kb.desk.bay.concern.concern_file import read_concern
from kb.errors import BadInput, KbError, NotReady, Unreadable
from kb.nouns.bay.read_proposals import OF_A_MODULE
from kb.nouns.concerns import ReportedCode
from web.pages.bay.seen import rows as seen_rows
from web.pages.bay.seen.photos_sent import kept_with, read_and_kept
from web.pages.bay.seen.row import SeenRow
from web.shown_again import shown_again
from web.visits import Somebody, Visit
from web.words import plural

router = APIRouter(prefix="/concerns/{concern_id}/read")

TAKEN = frozenset({"code", "voltage", "newest_id"}) | OF_A_MODULE


def _page(visit: Visit, concern_id: int, refused: KbError | None = None) -> Response:
    typed = visit.typed
    with visit.reading() as desk:
        concern = read_concern(desk, concern_id)
        kept = kept_with(desk, concern_id, typed)
    panel = seen_rows.shown(typed, TAKEN)
    other_vin = _other_vin(panel["seen"], concern.vehicle.vin)
    return visit.page(
        "photos/read.html",
        place="/concerns",
        concern=concern,
        address=f"/concerns/{concern_id}/read",
        other_vin=other_vin,
        kept=kept,
        refused=refused,
        **(panel | {"seen": ()} if other_vin else panel),
    )


def _other_vin(seen: Iterable[SeenRow], own: str) -> str:
    """A VIN that was read beyond doubt and is not the concern's own; empty where either is not known."""
    read = {row.value for row in seen if row.field == "vin" and not row.doubtful}
    return min(read - {own}, default="") if own else ""


@router.get("")
def show(visit: Somebody, concern_id: int) -> Response:
    return _page(visit, concern_id)


@router.post("")
@shown_again(_page, BadInput, Unreadable, NotReady)
def read_it(visit: Somebody, concern_id: int) -> Response:
    """Propose what the files and the text say; the photos are kept, and of the rest nothing is saved."""
    return _page(visit.with_form(read_and_kept(visit, concern_id)), concern_id)


@router.post("/take")
@shown_again(_page)
def take(visit: Somebody, concern_id: int) -> Response:
    """Save what was ticked."""
    ticked = seen_rows.ticked(visit.typed, TAKEN)
    readings = seen_rows.calibrations(ticked)
    codes = [row for row in ticked if row.field == "code"]
    others, newest = seen_rows.voltages(ticked), [row for row in ticked if row.is_newest and row.module]
    if not readings and not codes and not others and not newest:
        raise BadInput(_why_nothing(ticked), fields={"take": "nothing to save"})
    reported = [ReportedCode(row.value, row.module, row.code_status) for row in codes]
    with visit.writing() as desk:
        if readings or reported or others:
            facts.put_read(desk, concern_id, readings, reported, others)
        for look_up in seen_rows.look_ups(newest, desk.today):
            facts.put_look_up(desk, concern_id, look_up)
    ids = sum(len(one.ids) for one in readings)
    counted = (
        (ids, "calibration ID"),
        (len(codes), "code"),
        (len(others), "voltage"),
        (len(newest), "look-up"),
    )
    said = [plural(number, what) for number, what in counted if number]
    return visit.go(f"/concerns/{concern_id}", said=f"{' and '.join(said)} saved.")


def _why_nothing(ticked: list[SeenRow]) -> str:
    if any(row.of_a_module for row in ticked):
        return "A number is saved with a calibration ID of its module: tick the ID too, and name the module."
    return "Tick what is right, then save it."
