"""Looking at files of bulletins, notes and history, and bringing them in."""

from __future__ import annotations

from dataclasses import replace

from fastapi import APIRouter
from starlette.responses import Response

from api.after_the_answer import PAGE_WAITS, run_apart
from kb.desk.imports import import_preview, imports, reading_how
from kb.desk.imports.reading_how import NOTHING_SAID, HowAsked
from kb.errors import BadInput, KbError, Unreadable
from kb.nouns.imports import FORMATS
from web.pages.imports.how_typed import DAYS, ENCODINGS, SEPARATORS, how_typed
from web.pages.imports.notes_wanted import BESIDE, as_query, wanted_by_address, wanted_in
from web.visits import Somebody, Visit

router = APIRouter(prefix="/imports")


@router.get("")
def show_list(visit: Somebody) -> Response:
    return _list_page(visit)


@router.post("")
def take_in_hand(visit: Somebody) -> Response:
    """Keep the file and look at it; with `do=bring_in` it is brought in at once, and can be undone."""
    file = visit.typed.file("file")
    try:
        if file is None:
            raise BadInput("Choose a file.", fields={"file": "choose a file"})
        with visit.writing() as desk:
            kept = import_preview.keep_waiting(
                desk, visit.typed.text("format"), file.filename or "", file.file.read()
            )
    except (BadInput, Unreadable) as refused:
        return _list_page(visit, refused)
    if visit.typed.text("do") == "bring_in":
        return _bring_in(visit, kept, how_typed(visit.typed))
    return visit.go(f"/imports/waiting/{kept}", **as_query(wanted_in(visit.typed)))


@router.get("/waiting/{file_id}")
def look(visit: Somebody, file_id: int) -> Response:
    wanted = wanted_by_address(visit)
    return _preview_page(visit, file_id, replace(NOTHING_SAID, wanted=wanted) if wanted else NOTHING_SAID)


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
    asked = NOTHING_SAID
    try:
        asked = how_typed(visit.typed)
        if what == "bring_in":
            return _bring_in(visit, file_id, asked)
    except (BadInput, Unreadable) as refused:
        return _preview_page(visit, file_id, asked, refused)
    return _preview_page(visit, file_id, asked)


def _bring_in(visit: Visit, file_id: int, asked: HowAsked) -> Response:
    """Start the import. A big file goes on after the answer; its page shows how far it is."""
    with visit.reading() as desk:
        file = import_preview.file_in_hand(desk, file_id)
        how = reading_how.how_to_read(desk, file.format, file.data, asked)
    visit.settle()
    run = imports.begin_import(visit.shop, visit.actor, file.format, file.file_name, file.data, how=how)
    with visit.writing() as desk:
        import_preview.let_go(desk, file_id)
    there = visit.go(f"/imports/{run.job_id}")
    run_apart(
        lambda: imports.carry_on_import(visit.shop, visit.actor, run, file.format, file.data),
        PAGE_WAITS,
    )
    return there


def _preview_page(visit: Visit, file_id: int, asked: HowAsked, refused: KbError | None = None) -> Response:
    """The file as it is read so; where it cannot be, as it is found to be, with why."""
    with visit.reading() as desk:
        file = import_preview.file_in_hand(desk, file_id)
        try:
            how = reading_how.how_to_read(desk, file.format, file.data, asked)
        except (BadInput, Unreadable) as wrong:
            refused = refused or wrong
            how = reading_how.how_to_read(desk, file.format, file.data)
        seen = import_preview.preview(desk, file, how)
    return visit.page(
        "imports/preview.html",
        place="/notes",
        file=file,
        seen=seen,
        asked=asked,
        days=DAYS,
        separators=SEPARATORS,
        encodings=ENCODINGS,
        beside=BESIDE,
        title=FORMATS[file.format],
        refused=refused,
    )


def _list_page(visit: Visit, refused: KbError | None = None) -> Response:
    """With what was typed of a file that was refused; it may be of the government."""
    wanted = wanted_in(visit.typed) if refused and "makes" in visit.typed.values else None
    with visit.reading() as desk:
        jobs = imports.list_imports(desk)
    return visit.page(
        "imports/list.html",
        place="/notes",
        jobs=jobs,
        formats=FORMATS.items(),
        beside=BESIDE,
        wanted=wanted,
        refused=refused,
    )
