"""The form of a programming event, read as it was typed."""

from __future__ import annotations

from kb.errors import BadInput, KbError
from kb.nouns.concerns import Duplicated, ModuleResult, ProgrammingEventDraft, ReflashResult, RoadTest
from kb.nouns.vehicles import CalibrationSource
from web.forms import MINUTES, TypedForm
from web.query_values import number_asked

MOST_MODULES = 3


def event_typed(typed: TypedForm, concern_id: int) -> ProgrammingEventDraft:
    """The event as typed. Raises BadInput that names the field."""
    rows = modules_typed(typed, concern_id)
    other = (*typed.all("other_work"), *typed.all("other_work_words"))
    return ProgrammingEventDraft(
        modules=rows,
        performed_on=typed.must_day("performed_on", "day"),
        minutes=typed.whole("minutes", "minutes", MINUTES),
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


def modules_typed(typed: TypedForm, concern_id: int) -> tuple[ModuleResult, ...]:
    """The modules as typed. Raises BadInput where there is none, or one cannot be."""
    rows = tuple(_module(typed, n, concern_id) for n in _named(typed))
    if not rows:
        raise BadInput("Name the module that was programmed.", fields={"module_1": "PCM, TCM, BCM…"})
    return rows


def beside_its_fields(refused: KbError, typed: TypedForm) -> KbError:
    """The refusal with what is wrong with a module told beside that module's fields on the form."""
    places = _named(typed)
    for one in refused.details.get("unlike_bulletin", ()):
        refused.fields[f"after_confirmed_{places[one['position']]}"] = "tap this if it is right"
    for at, place in enumerate(places):
        if f"modules.{at}.module" in refused.fields:
            refused.fields[f"module_{place}"] = refused.fields[f"modules.{at}.module"]
    return refused


def _named(typed: TypedForm) -> list[int]:
    return [n for n in range(1, MOST_MODULES + 1) if typed.text(f"module_{n}")]


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
        cvn_before=typed.text(f"cvn_before_{n}"),
        cvn_after=typed.text(f"cvn_{n}"),
        error_text=typed.text(f"error_{n}"),
        concern_ids=others or (concern_id,),
        calibration_source=typed.one_of(f"after_source_{n}", CalibrationSource, CalibrationSource.TYPED),
        calibration_confirmed=typed.ticked(f"after_confirmed_{n}"),
    )
