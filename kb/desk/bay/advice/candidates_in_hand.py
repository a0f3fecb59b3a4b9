"""The candidates of a concern as the advice takes them, and why others are none."""

from __future__ import annotations

from dataclasses import dataclass

from kb.advice.before_plan.already_installed import already_in
from kb.advice.before_plan.candidates import Offered
from kb.advice.before_plan.fits_module import STATUS, Module, module_of, not_for_this_calibration
from kb.advice.before_plan.inspect_first import is_inspected, told_by_checks
from kb.desk import settings as settings_desk
from kb.desk.bay.advice import candidates as candidates_desk
from kb.desk.bay.advice import checks_on_file
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.words_against import WordsAgainst, words_against
from kb.desk.bay.concern import concern_costs
from kb.desk.bay.concern import recalls as recalls_desk
from kb.desk.bay.outcomes.records_of_updates import records_of
from kb.desk.bay.search import families
from kb.desk.context import Desk
from kb.desk.shop_settings import ShopSettings
from kb.nouns.advice import CandidateInHand, CureRecord
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.currency import to_major
from kb.nouns.notes import Remedy
from kb.nouns.vehicles import Applies, fold_id
from kb.records.store.notes import notes as note_store
from kb.vehicle.coverage import applies_to_recorded
from kb.vehicle.updates_on_file import UpdateOnFile


@dataclass(frozen=True, slots=True)
class CandidatesInHand:
    """The candidates that are left, their updates, and why others are none.

    `said` are the texts of what speaks against one of them that the words meet; `installed` names updates
    that are in their module already, `ruled_out` those that a look-up by VIN took out.
    """

    left: tuple[CandidateInHand, ...]
    updates: tuple[UpdateOnFile, ...]
    said: frozenset[str]
    notices: tuple[str, ...]
    installed: tuple[str, ...]
    ruled_out: tuple[str, ...]


def candidates_in_hand(desk: Desk, file: ConcernFile) -> CandidatesInHand:
    """What is offered on the concern, without what is in its module already or cannot go into it."""
    offered, on_file = candidates_desk.on_concern(desk, file), updates_desk.on_file(desk)
    updates = [on_file.by_id[one.note_id] for one in offered]
    lineage = on_file.lineage(file.vehicle.make)
    records = records_of(desk, [update.note_id for update in updates])
    against = words_against(desk, file, updates)
    recalls, limit = recalls_desk.of_concern(desk, file), settings_desk.current(desk).look_up_limit_days
    notices: list[str] = []
    installed: list[str] = []
    ruled_out: list[str] = []
    left: list[CandidateInHand] = []
    for one, update in zip(offered, updates, strict=True):
        module = module_of(file, update, lineage, recalls, desk.today, limit)
        inside = already_in(file, update, module.step, on_file, lambda note: _once_installed(desk, note))
        notices += [inside.notice] if inside else []
        if inside and not inside.is_candidate:
            installed.append(inside.name)
            continue
        why_not = module.ruled_out or not_for_this_calibration(update, module, lineage)
        ruled_out += [update.name] if module.ruled_out else []
        notices += [why_not] if why_not else []
        if not why_not:
            known = records.get(update.note_id)
            left.append(_candidate(desk, file, one, update, module, known, against[update.note_id]))
    return CandidatesInHand(
        tuple(left),
        tuple(on_file.by_id[one.note_id] for one in left),
        frozenset(says for one in left for says in against[one.note_id].entries),
        tuple(notices),
        tuple(installed),
        tuple(ruled_out),
    )


def _once_installed(desk: Desk, note_id: int) -> frozenset[str]:
    """Every ID that a note ever installed, by its earlier versions."""
    return frozenset(
        fold_id(str(step.get("new_id", "")))
        for revision in note_store.revisions_of(desk.session, note_id)
        for step in revision.content.get("steps", ())
    )


def _candidate(
    desk: Desk,
    file: ConcernFile,
    one: Offered,
    update: UpdateOnFile,
    module: Module,
    record: CureRecord | None,
    against: WordsAgainst,
) -> CandidateInHand:
    settings, currency = concern_costs.settings_on(desk, file.cost_overrides)[0], desk.shop.currency
    applies = applies_to_recorded(update.coverage, file.vehicle, families.in_force(desk)).applies
    return CandidateInHand(
        note_id=update.note_id,
        number=update.number,
        title=update.title,
        module=module.step.module,
        grade=one.grade,
        applies=applies if update.coverage else Applies.CANNOT_TELL,
        status=STATUS[module.state],
        calibration_id=module.reading.calibration_id if module.reading else "",
        newest_id=", ".join(module.newest),
        looked_up_on=module.looked_up_on,
        record=record,
        other_cost=to_major(settings.relearn_cost_minor + part_minor(settings, update.remedy), currency),
        module_price=to_major(settings.module_price_minor_of(module.step.module), currency),
        merged=one.merged,
        speaks_against=update.speaks_against,
        words_against=against.conditions,
        remedy=update.remedy_or_software,
        ids_known=update.ids_known,
        is_recall=update.is_recall,
        inspected=is_inspected(
            update.remedy,
            update.note_id,
            file.ticks,
            by_checks=told_by_checks(update.speaks_against, checks_on_file.done_on(desk, file)),
        ),
    )


def part_minor(settings: ShopSettings, remedy: Remedy | None) -> int:
    """What a part costs that goes in with the software, labor included; nothing where software is all."""
    return settings.part_cost_minor if remedy is Remedy.SOFTWARE_AND_PART else 0
