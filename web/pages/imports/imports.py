"""Looking at files of bulletins, notes and history, bringing them in, and taking an import back."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import JSONResponse, Response

from api.after_the_answer import run_apart
from kb.desk.imports import import_preview, import_undo, imports, reflashes_read
from kb.errors import BadInput, KbError, Unreadable
from kb.nouns.imports import DaysWritten, HowToRead
from web.forms import TypedForm
from web.pages.imports.notes_wanted import BESIDE, as_query, wanted_by_address, wanted_in
from web.visits import Somebody, Visit

SECONDS_TO_WAIT = 5
"""Short work is done before the answer, so that its page shows the end of it."""

GROUPS_SHOWN = 25
"""Groups of alike correction texts on the page of an import; the others by a link."""

router = APIRouter(prefix="/imports")

DAYS = (
    (DaysWritten.YEAR_FIRST.value, "2026-03-31"),
    (DaysWritten.MONTH_FIRST.value, "3/31/2026"),
    (DaysWritten.DAY_FIRST.value, "31/3/2026"),
)

FORMATS = (
    ("history", "the shop's history (CSV)"),
    ("notes", "bulletins and lessons in bulk (CSV or JSON lines)"),
    ("recall-communications", "recall communications (6-field CSV or its zip)"),
    ("manufacturer-communications", "manufacturer communications (14 fields, TAB)"),
    ("service-bulletins", "older service bulletins (10 fields, TAB)"),
)


@router.get("")
def show_list(visit: Somebody) -> Response:
    visit.only("lead", "owner")
    return _list_page(visit)


@router.post("")
def take_in_hand(visit: Somebody) -> Response:
    """Keep the file and look at it; nothing is brought in yet."""
    file = visit.typed.files.get("file")
    try:
        if file is None:
            raise BadInput("Choose a file.", fields={"file": "choose a file"})
        with visit.writing() as desk:
            kept = import_preview.keep_waiting(
                desk, visit.typed.text("format"), file.filename or "", file.file.read()
            )
    except (BadInput, Unreadable) as refused:
        return _list_page(visit, refused)
    return visit.go(f"/imports/waiting/{kept}", **as_query(wanted_in(visit.typed)))


@router.get("/waiting/{file_id}")
def look(visit: Somebody, file_id: int) -> Response:
    wanted = wanted_by_address(visit)
    return _preview_page(visit, file_id, HowToRead(wanted=wanted) if wanted else None)


@router.post("/waiting/{file_id}")
def choose(visit: Somebody, file_id: int) -> Response:
    """Look again with other columns, bring the file in, or let it go."""
    what = visit.typed.text("do")
    with visit.reading() as desk:
        if not import_preview.still_waits(desk, file_id):
            return visit.go("/imports", "That file was brought in already or let go; see the list below.")
    if what == "let_go":
        with visit.writing() as desk:
            import_preview.let_go(desk, file_id)
        return visit.go("/imports", "Let go: nothing was brought in.")
    how = _how(visit.typed)
    if what != "bring_in":
        return _preview_page(visit, file_id, how)
    try:
        return _bring_in(visit, file_id, how)
    except (BadInput, Unreadable) as refused:
        return _preview_page(visit, file_id, how, refused)


def _bring_in(visit: Visit, file_id: int, how: HowToRead) -> Response:
    """Start the import. A big file goes on after the answer; its page shows how far it is."""
    with visit.reading() as desk:
        file = import_preview.file_in_hand(desk, file_id)
    import_preview.refuse_double(how)
    run = imports.begin_import(visit.shop, visit.actor, file.format, file.file_name, file.data, how=how)
    with visit.writing() as desk:
        import_preview.let_go(desk, file_id)
    run_apart(
        lambda: imports.carry_on_import(visit.shop, visit.actor, run, file.format, file.data, how=how),
        SECONDS_TO_WAIT,
    )
    return visit.go(f"/imports/{run.job_id}")


@router.get("/{import_id}")
def show(visit: Somebody, import_id: int) -> Response:
    visit.only("lead", "owner")
    with visit.reading() as desk:
        job = imports.read_import(desk, import_id)
        read = reflashes_read.reflashes_read(desk, import_id) if job.can_be_answered else None
    if visit.wants_part == "state":
        state = "not_moving" if job.standing_still else job.state.value
        return JSONResponse({"state": state, "sentence": job.sentence})
    return visit.page(
        "imports/job.html",
        place="/notes",
        job=job,
        read=read,
        shown=GROUPS_SHOWN,
        all_groups=visit.request.query_params.get("groups") == "all",
    )


@router.post("/{import_id}/undo")
def undo(visit: Somebody, import_id: int) -> Response:
    import_undo.undo_import(visit.shop, visit.actor, import_id)
    return visit.go(f"/imports/{import_id}")


def _how(typed: TypedForm) -> HowToRead:
    """What each column is read as: field column_N holds its name, read_as_N one of ours or nothing."""
    numbers = [name.removeprefix("column_") for name in typed.values if name.startswith("column_")]
    columns = {typed.raw(f"column_{n}"): typed.text(f"read_as_{n}") for n in numbers}
    days = typed.text("days")
    days_written = DaysWritten(days) if days in set(DaysWritten) else DaysWritten.YEAR_FIRST
    return HowToRead(columns, days_written, wanted=wanted_in(typed))


def _preview_page(
    visit: Visit, file_id: int, how: HowToRead | None, refused: KbError | None = None
) -> Response:
    with visit.reading() as desk:
        file = import_preview.file_in_hand(desk, file_id)
        seen = import_preview.preview(desk, file, how)
    return visit.page(
        "imports/preview.html",
        place="/notes",
        file=file,
        seen=seen,
        days=DAYS,
        beside=BESIDE,
        title=dict(FORMATS)[file.format],
        refused=refused,
    )


def _list_page(visit: Visit, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        jobs = imports.list_imports(desk)
    return visit.page(
        "imports/list.html",
        place="/notes",
        jobs=jobs,
        formats=FORMATS,
        beside=BESIDE,
        refused=refused,
    )
