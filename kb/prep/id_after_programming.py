"""The ID in a module after programming, held against the one that the bulletin installs.

A newer ID than the bulletin's is legitimate, since the manufacturer may have replaced it: a difference is a
question to whoever read the ID, never a wall.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass

from kb.errors import BadInput
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.concerns import INSTALLED, ProgrammingEventDraft
from kb.nouns.vehicles import CalibrationStep, fold_id
from kb.vehicle.updates_on_file import UpdatesOnFile

_ASK = "Read the module again. If it is right, as a newer one may have been released since, confirm the ID."


@dataclass(frozen=True, slots=True)
class UnlikeBulletin:
    """A module whose ID after is none that its update installs; `unchanged` if it is the one from before."""

    module: str
    calibration_after: str
    bulletin: str
    new_ids: tuple[str, ...]
    unchanged: bool

    @property
    def sentence(self) -> str:
        after = "is the same as before" if self.unchanged else f"is {self.calibration_after}"
        return (
            f"{self.module}: the ID after {after}; {self.bulletin or 'the bulletin'} installs "
            f"{' or '.join(self.new_ids)}."
        )


def unlike_bulletin(
    file: ConcernFile, updates: UpdatesOnFile, module: str, update_id: int | None, before: str, after: str
) -> UnlikeBulletin | None:
    """What differs. None where no ID is typed, the update installs it, or has no step for the module.

    Nor does an ID differ that is newer on file than the bulletin's, or that a look-up of this VIN named. Of
    several steps for a module the one of the ID before counts, else any of them.
    """
    update = updates.by_id.get(updates.kept(update_id)) if update_id else None
    if update is None or not after.strip():
        return None
    new_ids = _new_ids(update.steps, module, before)
    lineage = updates.lineage(file.vehicle.make)
    newer = [one for new in new_ids for one in lineage.newer_than(module, new)]
    looked_up = [one.newest_id for one in file.look_ups if fold_id(one.module) == fold_id(module)]
    if not new_ids or fold_id(after) in set(map(fold_id, (*new_ids, *newer, *looked_up))):
        return None
    unchanged = fold_id(before) == fold_id(after)
    return UnlikeBulletin(module.strip().upper(), after.strip(), update.number, new_ids, unchanged)


def ask_about_ids(draft: ProgrammingEventDraft, file: ConcernFile, updates: UpdatesOnFile) -> None:
    """Raise BadInput for an ID unlike the bulletin's that nobody confirmed; `details` holds what differs."""
    fields, told, sentences = {}, [], []
    for at, one in enumerate(draft.modules):
        if one.result not in INSTALLED or one.calibration_confirmed:
            continue
        unlike = unlike_bulletin(
            file, updates, one.module, one.update_id, one.calibration_before, one.calibration_after
        )
        if unlike is not None:
            sentences.append(unlike.sentence)
            told.append({"position": at, **asdict(unlike)})
            fields[f"modules.{at}.calibration_confirmed"] = "read it again and confirm it"
    if sentences:
        raise BadInput(" ".join((*sentences, _ASK)), fields=fields, details={"unlike_bulletin": told})


def _new_ids(steps: tuple[CalibrationStep, ...], module: str, before: str) -> tuple[str, ...]:
    of_module = [one for one in steps if fold_id(one.module) == fold_id(module) and fold_id(one.new_id)]
    of_before = [
        one for one in of_module if fold_id(before) in {fold_id(old) for old in (*one.old_ids, one.new_id)}
    ]
    return tuple(dict.fromkeys(one.new_id.strip() for one in of_before or of_module))
