"""Recording what was done to modules, and what the road test said."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk import advice, case, equipment, programming
from kb.desk import release as release_desk
from kb.desk.context import Desk
from kb.desk.views import ConcernView
from kb.errors import BadInput, KbError
from kb.nouns.concerns import Duplicated, ModuleResult, ProgrammingEventDraft, ReflashResult, RoadTest
from kb.nouns.vehicles import CalibrationSource
from web.asked import OptionalId, number_asked
from web.forms import TypedForm
from web.labels import WHY_NOT
from web.visits import Somebody, Visit

router = APIRouter(prefix="/concerns/{concern_id}")

MOST_MODULES = 3
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
_INSTALLED = {ReflashResult.COMPLETED, ReflashResult.RECOVERED}


@router.get("/programming")
def show(visit: Somebody, concern_id: int, result: str = "completed", update: OptionalId = None) -> Response:
    return _form(visit, concern_id, begin={"result": result, "update": update})


@router.post("/programming")
def record(visit: Somebody, concern_id: int) -> Response:
    try:
        event = _draft(visit.typed, concern_id)
        with visit.writing() as desk:
            _answer_for(desk, visit.typed, concern_id, event)
            programming.record_event(desk, event)
    except KbError as refused:
        return _form(visit, concern_id, refused=refused)
    failed = any(m.result in {ReflashResult.STOPPED, ReflashResult.MODULE_LOST} for m in event.modules)
    if failed:
        return visit.go(f"/concerns/{concern_id}", said="Written down. Tell the lead.")
    if not any(m.result in _INSTALLED for m in event.modules):
        return visit.go(f"/concerns/{concern_id}", said="Written down.")
    if event.road_test is RoadTest.NOT_DONE:
        return visit.go(f"/concerns/{concern_id}/road-test", said="Programming written down.")
    return visit.go(f"/concerns/{concern_id}/release", said="Programming and road test written down.")


@router.get("/road-test")
def show_road_test(visit: Somebody, concern_id: int) -> Response:
    return _road_test_form(visit, concern_id)


@router.post("/road-test")
def record_road_test(visit: Somebody, concern_id: int) -> Response:
    typed = visit.typed
    try:
        road_test = typed.must_be_one_of("road_test", RoadTest, "Say how it drove.")
        before = typed.must_be_one_of("duplicated_before", Duplicated, "Say whether you saw it before.")
        with visit.writing() as desk:
            programming.record_road_test(desk, concern_id, road_test, before)
    except KbError as refused:
        return _road_test_form(visit, concern_id, refused)
    return visit.go(f"/concerns/{concern_id}/release", said="Road test written down.")


@router.get("/release")
def release(visit: Somebody, concern_id: int) -> Response:
    """What must be true before the vehicle leaves, and the ways to close."""
    with visit.reading() as desk:
        concern = case.read_concern(desk, concern_id)
        release = release_desk.release_list(desk, concern_id)
    return visit.page("programming/release.html", place="/concerns", concern=concern, release=release)


@router.post("/release")
def settle_release(visit: Somebody, concern_id: int) -> Response:
    typed = visit.typed
    with visit.writing() as desk:
        release_desk.settle_release(desk, concern_id, typed.text("item"), typed.text("result"))
    return visit.go(f"/concerns/{concern_id}/release")


def _answer_for(desk: Desk, typed: TypedForm, concern_id: int, event: ProgrammingEventDraft) -> None:
    """Open stops are overridden by name and reason, and the advice is frozen where nobody decided yet."""
    for stop in advice.give_advice(desk, concern_id).stops:
        reason = typed.text(f"override_{stop.kind}")
        if not reason:
            raise BadInput(
                f"Stop: {stop.sentence} Override it by name and reason, or settle it first.",
                fields={f"override_{stop.kind}": "a reason"},
            )
        advice.lift_stop(desk, concern_id, stop.kind, reason)
    begun = any(module.result is not ReflashResult.NOTHING_NEWER for module in event.modules)
    if begun and not advice.list_decisions(desk, concern_id):
        why = ", ".join((*typed.all("why"), *typed.all("why_in_words")))
        advice.decide(desk, concern_id, "reflash", why)


def _draft(typed: TypedForm, concern_id: int) -> ProgrammingEventDraft:
    rows = [_module(typed, n, concern_id) for n in range(1, MOST_MODULES + 1) if typed.text(f"module_{n}")]
    if not rows:
        raise BadInput("Name the module that was programmed.", fields={"module_1": "PCM, TCM, BCM…"})
    other = (*typed.all("other_work"), *typed.all("other_work_words"))
    return ProgrammingEventDraft(
        modules=tuple(rows),
        performed_on=typed.must_day("performed_on", "day"),
        minutes=typed.whole("minutes", "minutes"),
        device_id=typed.whole("device_id"),
        computer_id=typed.whole("computer_id"),
        support_unit_id=typed.whole("support_unit_id"),
        subscription_id=typed.whole("subscription_id"),
        duplicated_before=typed.must_be_one_of(
            "duplicated_before", Duplicated, "Say whether the concern was seen before the reflash."
        ),
        road_test=typed.one_of("road_test", RoadTest, RoadTest.NOT_DONE),
        other_work=other,
        who_was_called=typed.text("who_was_called"),
        remark=typed.text("remark"),
    )


def _module(typed: TypedForm, n: int, concern_id: int) -> ModuleResult:
    if typed.text(f"after_{n}") and typed.text(f"after_source_{n}") not in set(CalibrationSource):
        raise BadInput("Say where the ID after is from.", fields={f"after_source_{n}": "tap one"})
    others = tuple(number_asked(one, f"concerns_{n}") or 0 for one in typed.all(f"concerns_{n}"))
    return ModuleResult(
        module=typed.text(f"module_{n}"),
        result=typed.must_be_one_of(f"result_{n}", ReflashResult, "Say how it ended."),
        update_id=typed.whole(f"update_{n}", "update"),
        calibration_before=typed.text(f"before_{n}"),
        calibration_after=typed.text(f"after_{n}"),
        cvn_after=typed.text(f"cvn_{n}"),
        error_text=typed.text(f"error_{n}"),
        concern_ids=others or (concern_id,),
        calibration_source=CalibrationSource(typed.text(f"after_source_{n}") or CalibrationSource.TYPED),
        calibration_confirmed=typed.ticked(f"after_confirmed_{n}"),
    )


def _form(
    visit: Visit, concern_id: int, begin: dict[str, Any] | None = None, refused: KbError | None = None
) -> Response:
    with visit.reading() as desk:
        concern = case.read_concern(desk, concern_id)
        context = {
            "equipment": [
                one
                for one in equipment.list_equipment(desk)
                if one.content.kind is not equipment.EquipmentKind.BATTERY_SUPPORT_UNIT
                or equipment.supports_programming(one.content)
            ],
            "subscriptions": [s for s in equipment.list_subscriptions(desk) if s.runs_on(desk.today)],
            "updates": _updates(desk, concern),
            "stops": advice.give_advice(desk, concern_id).stops,
        }
    return visit.page(
        "programming/event.html",
        place="/concerns",
        status=422 if refused else 200,
        concern=concern,
        begin=begin or {"result": "completed", "update": None},
        other_work=OTHER_WORK,
        reasons=[(why, why) for why in WHY_NOT],
        most=MOST_MODULES,
        typed=visit.typed or None,
        refused=refused,
        **context,
    )


def _updates(desk: Desk, concern: ConcernView) -> list[tuple[str, str]]:
    candidates = advice.give_advice(desk, concern.id).candidates
    return [(str(one.note), f"{one.number} {one.title}"[:80]) for one in candidates]


def _road_test_form(visit: Visit, concern_id: int, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        concern = case.read_concern(desk, concern_id)
    return visit.page(
        "programming/road_test.html",
        place="/concerns",
        status=422 if refused else 200,
        concern=concern,
        typed=visit.typed or None,
        refused=refused,
    )
