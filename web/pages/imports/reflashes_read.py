"""Looking at the reflashes that were read from the correction texts of an import, and answering them."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.imports import imports, reflashes_answered, reflashes_read
from kb.errors import BadInput, Conflict
from kb.nouns.history.reflashes_read import Answer, Answered, Said
from web.visits import Somebody, Visit

TEXTS_A_PAGE = 50

router = APIRouter(prefix="/imports/{import_id}/reflashes")

_DONE = {
    Answer.TAKE: "counted",
    Answer.LEAVE: "left out",
    Answer.TAKE_BACK: "taken back, to be answered again",
}


@router.post("")
def take_every_named(visit: Somebody, import_id: int) -> Response:
    """Count every group whose texts name their update."""
    with visit.writing() as desk:
        answered = reflashes_answered.take_every_named(desk, import_id)
    return visit.go(f"/imports/{import_id}#reflashes", _sentence(Answer.TAKE, answered))


@router.get("/{alike}")
def show(visit: Somebody, import_id: int, alike: str) -> Response:
    """The texts of one group, to be answered one by one."""
    visit.only("lead", "owner")
    return _page(visit, import_id, alike)


@router.post("/{alike}")
def answer(visit: Somebody, import_id: int, alike: str) -> Response:
    """Answer a whole group, or the texts that were ticked on its own page."""
    how = visit.typed.must_be_one_of("do", Answer, "answer")
    one_by_one = visit.typed.ticked("one_by_one")
    only = tuple(int(one) for one in visit.typed.all("only") if one.isdecimal())
    try:
        if one_by_one and not only:
            raise BadInput("Tick the texts that this is about.", fields={"only": "none is ticked"})
        said = _said(visit, how, only)
        with visit.writing() as desk:
            answered = reflashes_answered.answer_reflashes(desk, import_id, alike, said)
    except (BadInput, Conflict) as refused:
        return _page(visit, import_id, alike, refused)
    back = f"/imports/{import_id}/reflashes/{alike}" if one_by_one else f"/imports/{import_id}#reflashes"
    return visit.go(back, _sentence(how, answered))


def _said(visit: Visit, how: Answer, only: tuple[int, ...]) -> Said:
    typed = visit.typed
    filled = {name: typed.text(name) for name in ("update", "module", "road_test") if name in typed.values}
    return Said(
        how,
        filled.get("update"),
        without_number=typed.ticked("without_number"),
        module=filled.get("module"),
        road_test=filled.get("road_test"),
        done_on=typed.day("done_on"),
        only=only,
    )


def _sentence(how: Answer, answered: Answered) -> str:
    reflashes = "1 reflash" if answered.done == 1 else f"{answered.done:,} reflashes"
    return f"{reflashes} {_DONE[how]}. {answered.sentence}".strip()


def _page(visit: Visit, import_id: int, alike: str, refused: BadInput | Conflict | None = None) -> Response:
    after = visit.request.query_params.get("after", "")
    with visit.reading() as desk:
        job = imports.read_import(desk, import_id)
        group = reflashes_read.group_read(desk, import_id, alike)
        found = reflashes_read.texts_read(
            desk, import_id, alike, TEXTS_A_PAGE, int(after) if after.isdecimal() else None
        )
    return visit.page(
        "imports/texts.html",
        place="/notes",
        job=job,
        group=group,
        texts=found,
        more=found[-1].id if len(found) == TEXTS_A_PAGE else None,
        refused=refused,
    )
