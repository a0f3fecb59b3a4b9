"""Reading a photo, a file or a text into a concern that is open: codes, voltages, its modules' numbers."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.concern import facts
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.seen import photos
from kb.desk.bay.seen.reading_scans import what_is_missing
from kb.errors import BadInput, KbError, NotReady, Unreadable
from kb.nouns.concerns import ReportedCode
from web.pages.bay.seen import rows as seen_rows
from web.pages.bay.seen.photos_sent import ids_of, read_and_kept
from web.shown_again import shown_again
from web.visits import Somebody, Visit
from web.words import plural

router = APIRouter(prefix="/concerns/{concern_id}/read")

TAKEN = frozenset({"code", "voltage"}) | seen_rows.OF_A_MODULE


def _page(visit: Visit, concern_id: int, refused: KbError | None = None) -> Response:
    typed = visit.typed
    with visit.reading() as desk:
        concern = read_concern(desk, concern_id)
        sent = set(ids_of(typed))
        kept = [one for one in photos.list_photos(desk, concern_id) if one.id in sent]
    seen = seen_rows.rows(typed, "seen")
    others = {row.value for row in seen if row.field == "vin" and not row.doubtful} - {concern.vehicle.vin}
    other_vin = next(iter(sorted(others)), "") if concern.vehicle.vin else ""
    return visit.page(
        "photos/read.html",
        place="/concerns",
        concern=concern,
        address=f"/concerns/{concern_id}/read",
        seen=() if other_vin else seen,
        sure=seen_rows.sure(seen, TAKEN),
        takes=TAKEN,
        other_vin=other_vin,
        kept=kept,
        missing=what_is_missing(),
        refused=refused,
    )


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
    others = seen_rows.voltages(ticked)
    if not readings and not codes and not others:
        raise BadInput(_why_nothing(ticked), fields={"take": "nothing to save"})
    reported = [ReportedCode(row.value, row.module, row.code_status) for row in codes]
    with visit.writing() as desk:
        facts.put_read(desk, concern_id, readings, reported, others)
    counted = ((sum(len(one.ids) for one in readings), "calibration ID"), (len(codes), "code"))
    said = [plural(number, what) for number, what in (*counted, (len(others), "voltage")) if number]
    return visit.go(f"/concerns/{concern_id}", said=f"{' and '.join(said)} saved.")


def _why_nothing(ticked: list[seen_rows.SeenRow]) -> str:
    if any(row.of_a_module for row in ticked):
        return "A number is saved with a calibration ID of its module: tick the ID too, and name the module."
    return "Tick what is right, then save it."
