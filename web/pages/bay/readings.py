"""Everything read of a vehicle on a concern: before beside after, each readout, and a snapshot to take in."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from api.schemas.snapshots import SnapshotBody
from kb.desk.bay.concern import snapshots, striking
from kb.errors import BadInput, KbError
from kb.nouns.bay.readings import by_readout
from kb.nouns.bay.snapshot import Snapshot
from kb.nouns.read_values import ReadKind
from web.forms import TypedForm
from web.pages.bay.on_concern import on_concern
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/concerns/{concern_id}")

_MOST_BYTES = 2 << 20


def _page(visit: Visit, concern_id: int, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        context = on_concern(desk, concern_id)
    return visit.page(
        "readings/page.html",
        place="/concerns",
        refused=refused,
        address=f"/concerns/{concern_id}/readings",
        readouts=by_readout(context["concern"].read)[::-1],
        kinds=ReadKind,
        **context,
    )


@router.get("/readings")
def show(visit: Somebody, concern_id: int) -> Response:
    return _page(visit, concern_id)


@router.post("/readings/strike")
@shown_again(_page)
def strike(visit: Somebody, concern_id: int) -> Response:
    reading = visit.typed.must_whole("reading", "value")
    with visit.signed().writing() as desk:
        striking.strike_reading(desk, concern_id, reading)
    return visit.go(f"/concerns/{concern_id}/readings", said="Struck. It stays on file with your name.")


@router.post("/snapshots")
@shown_again(_page)
def keep_snapshot(visit: Somebody, concern_id: int) -> Response:
    """A file or a text; what was taken in once is not taken in again. What is of another vehicle stands in
    the page as text, to be kept with a concern of that one.
    """
    as_text = {**visit.typed.values, "snapshot": (_text(visit.typed),)}
    return _keep(visit=visit.with_form(TypedForm(as_text)), concern_id=concern_id)


@shown_again(_page)
def _keep(visit: Visit, concern_id: int) -> Response:
    snapshot = SnapshotBody.of_text(visit.typed.text("snapshot")).as_value(Snapshot)
    with visit.writing() as desk:
        kept = snapshots.keep_snapshot(desk, concern_id, snapshot)
    said = "It is on file already." if kept.on_file_already else f"{kept.values} values kept with {kept.ref}."
    return visit.go(f"/concerns/{concern_id}/readings", said=said)


def _text(typed: TypedForm) -> str:
    file = typed.file("file")
    if file is None or not file.filename:
        return typed.must_text("snapshot", "snapshot, as a file or as text")
    data = file.file.read(_MOST_BYTES + 1)
    if len(data) > _MOST_BYTES:
        raise BadInput("A snapshot is smaller than 2 MB. Choose another.", fields={"snapshot": "too big"})
    return data.decode("utf-8-sig", errors="replace")
