"""A module recorded again with the same update on the same day: done twice, or written down twice?"""

from __future__ import annotations

from collections.abc import Mapping

from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.update_names import names_of
from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.concern.concern_lines import ref_of
from kb.desk.context import Desk
from kb.errors import BadInput, Conflict
from kb.nouns.concerns import INSTALLED, ModuleResult, ProgrammingEventDraft, ReflashResult
from kb.nouns.days import day_words
from kb.records.store.bay import sittings as store
from kb.records.store.bay.concerns import ConcernOnFile
from kb.records.tables import ProgrammingEvent, Reflash
from kb.vehicle.lineage import fold_id


def refuse_a_module_twice(draft: ProgrammingEventDraft) -> None:
    """Raise BadInput where one form names a module twice: a sitting has one result per module."""
    named = [fold_id(one.module) for one in draft.modules]
    twice = [at for at, name in enumerate(named) if name and name in named[:at]]
    if twice:
        modules = ", ".join(dict.fromkeys(draft.modules[at].module.strip().upper() for at in twice))
        raise BadInput(
            f"{modules} stands here twice. A sitting has one result per module: leave out the one that is "
            "doubled, or record the second programming by itself.",
            fields={f"modules.{at}.module": "named twice" for at in twice},
        )


def refuse_the_same_again(
    desk: Desk, draft: ProgrammingEventDraft, held: Mapping[int, ConcernOnFile]
) -> None:
    """Raise Conflict where the vehicle has this module, update and end on that day; `details` names it.

    A module that stopped and was completed later that day is no repetition.
    """
    vehicle_id = next(iter(held.values())).repair_order.vehicle_id
    kept = updates_desk.on_file(desk).kept
    for reflash, event in store.reflashes_of_day(desk.session, vehicle_id, draft.performed_on):
        for module in draft.modules:
            same_update = kept(reflash.update_id or 0) == kept(module.update_id or 0)
            if (
                same_update
                and fold_id(reflash.module) == fold_id(module.module)
                and _same_end(reflash, module)
            ):
                _refuse(desk, reflash, event, set(held))


def _same_end(reflash: Reflash, module: ModuleResult) -> bool:
    ends = {ReflashResult(reflash.result), module.result}
    return len(ends) == 1 or ends <= INSTALLED


def _refuse(desk: Desk, reflash: Reflash, event: ProgrammingEvent, asked: set[int]) -> None:
    ids = store.concerns_of_reflash(desk.session, reflash.id or 0)
    lines = [concerns_desk.on_file(desk, one) for one in ids]
    refs = [ref_of(line.repair_order.number, line.concern.line) for line in lines]
    joins = "If it was that sitting, count it for this concern too. " if asked - set(ids) else ""
    number = names_of(desk, [reflash.update_id]).get(reflash.update_id or 0, ("", ""))[0]
    raise Conflict(
        f"{reflash.module}{f' with {number}' if number else ''} on {day_words(event.performed_on)} is on "
        f"record already, for {', '.join(refs) or 'no concern'}. "
        f"{joins}Record it again only if the module was really programmed twice that day, and say so.",
        fields={"done_twice": "only if it was really done twice"},
        details={
            "event_id": event.id,
            "module": reflash.module,
            "update_id": reflash.update_id,
            "performed_on": event.performed_on,
            "technician": event.technician,
            "concerns": [{"id": one, "ref": ref} for one, ref in zip(ids, refs, strict=True)],
        },
    )
