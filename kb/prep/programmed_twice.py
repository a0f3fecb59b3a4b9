"""A module recorded again with the same update, or to the same ID, on one day: done or written down twice?"""

from __future__ import annotations

from collections.abc import Mapping

from kb.errors import BadInput, Conflict
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.on_file import Programmed
from kb.nouns.concerns import INSTALLED, ModuleResult, ProgrammingEventDraft
from kb.nouns.days import day_words
from kb.nouns.vehicles import fold_id
from kb.vehicle.updates_on_file import UpdatesOnFile


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
    draft: ProgrammingEventDraft, files: Mapping[int, ConcernFile], updates: UpdatesOnFile
) -> None:
    """Raise Conflict where the vehicle has this module, update and end on that day; `details` names it.

    Where the update is left out on one side, the same ID after tells that it is the same. A module that
    stopped and was completed later that day is no repetition.
    """
    file = next(iter(files.values()))
    for done in (one for one in file.programmed if one.performed_on == draft.performed_on):
        if any(_is_same(done, module, updates) for module in draft.modules):
            _refuse(file, done, set(files))


def _is_same(done: Programmed, module: ModuleResult, updates: UpdatesOnFile) -> bool:
    ends = {done.result, module.result}
    return (
        (_same_update(done, module, updates) or _same_id_after(done, module))
        and fold_id(done.module) == fold_id(module.module)
        and (len(ends) == 1 or ends <= INSTALLED)
    )


def _same_update(done: Programmed, module: ModuleResult, updates: UpdatesOnFile) -> bool:
    return updates.kept(done.update_id or 0) == updates.kept(module.update_id or 0)


def _same_id_after(done: Programmed, module: ModuleResult) -> bool:
    both_named = done.update_id and module.update_id
    after = fold_id(module.calibration_after)
    return not both_named and after != "" and after == fold_id(done.calibration_after)


def _refuse(file: ConcernFile, done: Programmed, asked: set[int]) -> None:
    rows = sorted((one.outcome_id, one.concern_id) for one in file.programmed if _is_of(one, done))
    concerns = {concern_id: file.ref_of(concern_id) for _, concern_id in rows}
    joins = "If it was that sitting, count it for this concern too. " if asked - set(concerns) else ""
    raise Conflict(
        f"{done.module}{f' with {done.update_number}' if done.update_number else ''} on "
        f"{day_words(done.performed_on)} is on record already, for "
        f"{', '.join(concerns.values()) or 'no concern'}. "
        f"{joins}Record it again only if the module was really programmed twice that day, and say so.",
        fields={"done_twice": "only if it was really done twice"},
        details={
            "event_id": done.event_id,
            "module": done.module,
            "update_id": done.update_id,
            "performed_on": done.performed_on,
            "technician": done.technician,
            "concerns": [{"id": one, "ref": ref} for one, ref in concerns.items()],
        },
    )


def _is_of(one: Programmed, done: Programmed) -> bool:
    return one.reflash_id == done.reflash_id and one.concern_id != 0
