"""When programming stopped with an error: what to do, whom to call, and the few things to write down."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.advice import module_asked
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.programming import answered_for, prep, programming
from kb.desk.shop import equipment
from kb.errors import BadInput, KbError
from kb.nouns.concerns import UNFINISHED, Duplicated, ModuleResult, ProgrammingEventDraft, ReflashResult
from web.forms import MINUTES, TypedForm
from web.labels import word
from web.pages.bay.programming import reasons_typed
from web.query_values import OptionalId
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/concerns/{concern_id}/failed")

_TOOLS = (
    ("device_id", "pass_thru_device"),
    ("computer_id", "computer"),
    ("support_unit_id", "battery_support_unit"),
)


def _page(
    visit: Visit, concern_id: int, template: str, update: int | None, refused: KbError | None = None
) -> Response:
    with visit.reading() as desk:
        concern = read_concern(desk, concern_id)
        listed = prep.prep_list(desk, concern_id, update)
        asked = module_asked.module_asked(desk, concern_id)
        stops = answered_for.to_override(desk, concern_id)
        tools = equipment.for_events(desk)
    return visit.page(
        template,
        place="/concerns",
        concern=concern,
        prep=listed,
        module=listed.step.module if listed.step else asked.module,
        update=update,
        stops=stops,
        ends=[(one.value, word(one, "result")) for one in UNFINISHED],
        tools=tools,
        tool_fields=_TOOLS,
        refused=refused,
    )


@router.get("")
def show(visit: Somebody, concern_id: int, update: OptionalId = None) -> Response:
    """What to do now, and what the make's sheet has at hand."""
    return _page(visit, concern_id, "programming/failed.html", update)


@router.get("/record")
def show_form(visit: Somebody, concern_id: int, update: OptionalId = None) -> Response:
    return _form(visit, concern_id, update)


def _form(
    visit: Visit, concern_id: int, update: int | None = None, refused: KbError | None = None
) -> Response:
    update = visit.typed.whole("update") if refused else update
    return _page(visit, concern_id, "programming/failed_form.html", update, refused)


@router.post("/record")
@shown_again(_form, KbError)
def record(visit: Somebody, concern_id: int) -> Response:
    """A sitting that failed, without a road test: nothing of it is another attempt."""
    typed = visit.typed
    with visit.writing() as desk:
        before = prep.prep_list(desk, concern_id, typed.whole("update")).reading
        event = ProgrammingEventDraft(
            modules=(_module(typed, concern_id, before.calibration_id if before else ""),),
            performed_on=desk.today,
            minutes=typed.whole("minutes", "minutes", MINUTES),
            device_id=typed.whole("device_id"),
            computer_id=typed.whole("computer_id"),
            support_unit_id=typed.whole("support_unit_id"),
            duplicated_before=Duplicated.NOT_TRIED,
            who_was_called=typed.text("who_was_called"),
        )
        answered_for.answer_for(desk, concern_id, event, reasons_typed(typed), answered_for.NOT_ASKED)
        programming.record_event(desk, event)
    return visit.go(f"/concerns/{concern_id}", said="Written down. Tell the lead.")


def _module(typed: TypedForm, concern_id: int, before: str) -> ModuleResult:
    if not typed.text("error"):
        said = "Write down the error exactly as the screen shows it."
        raise BadInput(said, fields={"error": "exactly as on the screen"})
    return ModuleResult(
        module=typed.must_text("module", "module"),
        result=typed.must_be_one_of("result", ReflashResult, "Say how it ended."),
        update_id=typed.whole("update"),
        calibration_before=before,
        error_text=typed.text("error"),
        concern_ids=(concern_id,),
    )
