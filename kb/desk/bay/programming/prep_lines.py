"""The lines of a preparation list, gathered from the bulletin, the make's requirements and the equipment."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date

from kb.advice.before_plan.inspect_first import inspection_line, told_by_checks
from kb.desk.context import Desk
from kb.desk.shop.equipment import (
    EquipmentKind,
    EquipmentView,
    is_marked_clean,
    list_equipment,
    supports_programming,
)
from kb.desk.shop.requirements import RequirementView, list_requirements
from kb.desk.shop.subscriptions import SubscriptionKind, active_subscription
from kb.nouns.notes import Note, Remedy
from kb.nouns.starting_prep import STARTING_PREP
from kb.nouns.vehicles import fold_id
from kb.prep import shop_lines
from kb.prep.limits import Thing
from kb.prep.lines import AsPrinted, PrepLine, PrintedLine, place_of, read_lines
from kb.prep.operating_systems import Computer
from kb.prep.replaced_module import lines_of_replaced
from kb.prep.things_measured import sentences_of_programming
from kb.records.store.shop import equipment as store
from kb.vehicle.families import fold

STARTING = tuple(
    PrepLine(
        one.key,
        one.place,
        one.text,
        "common practice",
        one.unit,
        thing=Thing(one.key) if one.unit else Thing.OTHER,
    )
    for one in STARTING_PREP
)


def lines(
    desk: Desk,
    *,
    make: str,
    module: str,
    note: Note | None,
    is_24_volts: bool,
    tune_found: bool,
    replaced: str | None = None,
    done: Collection[str] = (),
) -> tuple[tuple[PrepLine, ...], int]:
    """Everything to settle, measured lines first within each place; and the vehicle's 12 or 24 V.

    `replaced`: which replacement the gate tells, None of an original module.
    `done` are the checks that were done on the concern: they may be the inspection that a note asks for.
    """
    requirements = _of_module(list_requirements(desk, make) if make else (), module)
    equipment = list_equipment(desk)
    units = [one for one in equipment if supports_programming(one.content)]
    printed = as_printed(note, requirements, confirmed_windows(desk), is_24_volts=is_24_volts)
    ask_ripple = bool(units) and not any(is_marked_clean(one.content) for one in units)
    asked = ", ".join(filter(None, (one.content.operating_system for one in requirements)))
    active = active_subscription(desk, make, SubscriptionKind.PROGRAMMING, desk.today)
    found = (
        *(lines_of_replaced(replaced, module) if replaced is not None else ()),
        *_inspection(note, done),
        *read_lines(printed, STARTING, ask_ripple=ask_ripple),
        *shop_lines.lines_of_module(module, tune_found=tune_found),
        shop_lines.device_line(make, _listed(equipment, make)),
        shop_lines.support_unit_line([one.content.name for one in units]),
        shop_lines.computer_line(make, asked, _computers(equipment)),
        shop_lines.subscription_line(make, active.content.ends_on if active else None),
    )
    return found, printed.system_volts


def as_printed(
    note: Note | None,
    requirements: Sequence[RequirementView],
    confirmed: Collection[str],
    *,
    is_24_volts: bool = False,
) -> AsPrinted:
    """What bulletin and make print. The bulletin's running text is read for its support voltage alone."""
    prose = []
    if note is not None:
        source = _bulletin(note)
        texts = (note.content.body, *(document.text for document in note.content.documents))
        said = (sentence for text in texts for sentence in sentences_of_programming(text))
        prose = [PrintedLine("", "battery", sentence, source) for sentence in said]
    lines = (*_of_bulletin(note), *_of_make(requirements))
    return AsPrinted(lines, tuple(prose), confirmed, is_24_volts)


def confirmed_windows(desk: Desk) -> tuple[str, ...]:
    """Printed lines whose windows past the possible a lead confirmed."""
    return tuple(one.printed for one in store.confirmed_windows(desk.session, desk.shop.id))


def _of_bulletin(note: Note | None) -> list[PrintedLine]:
    if note is None:
        return []
    return [
        PrintedLine(f"note-{note.id}-{n}", place_of(text), text, _bulletin(note))
        for n, text in enumerate(note.content.precautions, start=1)
    ]


def _inspection(note: Note | None, done: Collection[str]) -> tuple[PrepLine, ...]:
    if note is None or note.content.remedy is not Remedy.INSPECT_THEN_SOFTWARE:
        return ()
    if told_by_checks(note.content.speaks_against, done):
        return ()
    return (shop_lines.inspection(inspection_line(note.id), note.content.number or note.content.title),)


def _of_make(requirements: Sequence[RequirementView]) -> list[PrintedLine]:
    return [
        PrintedLine(
            f"make-{one.id}",
            one.content.place,
            one.content.text,
            one.content.source_line or f"{one.content.make}, as entered by the lead",
            one.content.unit,
        )
        for one in requirements
    ]


def _of_module(requirements: Sequence[RequirementView], module: str) -> list[RequirementView]:
    return [
        one
        for one in requirements
        if not one.content.module or fold_id(one.content.module) == fold_id(module)
    ]


def _bulletin(note: Note) -> str:
    return f"bulletin {note.content.number}".strip()


def _listed(equipment: Sequence[EquipmentView], make: str) -> list[tuple[str, date]]:
    return [
        (one.content.name, day)
        for one in equipment
        if one.content.kind is EquipmentKind.PASS_THRU_DEVICE
        for listed_make, day in one.content.validated.items()
        if fold(listed_make) == fold(make)
    ]


def _computers(equipment: Sequence[EquipmentView]) -> list[Computer]:
    return [
        Computer(one.content.name, one.content.details)
        for one in equipment
        if one.content.kind is EquipmentKind.COMPUTER
    ]
