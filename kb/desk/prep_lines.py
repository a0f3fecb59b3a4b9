"""The lines of a preparation list, from the bulletin, the manufacturer's requirements and the equipment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kb.desk.context import Desk
from kb.desk.equipment import EquipmentKind, EquipmentView, list_equipment, supports_programming
from kb.desk.requirements import RequirementView
from kb.desk.subscriptions import SubscriptionKind, active_subscription
from kb.nouns.days import day_words
from kb.nouns.notes import Note
from kb.nouns.starting_prep import STARTING_PREP
from kb.vehicle.families import fold
from kb.vehicle.lineage import fold_id

PLACES = ("battery", "cabin", "computer")
_AT_THE_BATTERY = ("volt", "battery", "support", "supply", "charg", "load")
_AT_THE_COMPUTER = ("computer", "internet", "laptop", "software", "download", "type ", "enter ", "screen")


@dataclass(frozen=True, slots=True)
class PrepLine:
    """One thing to do or settle. `source` says where it comes from; a line that `blocks` cannot be ticked."""

    key: str
    place: str
    text: str
    source: str
    unit: str = ""
    blocks: bool = False


def lines(
    desk: Desk, *, make: str, module: str, note: Note | None, requirements: Sequence[RequirementView]
) -> tuple[PrepLine, ...]:
    """Everything to settle, the bulletin's own lines first within each place."""
    return (
        *_of_bulletin(note),
        *_of_make(requirements, module),
        *_of_practice(),
        _device(list_equipment(desk), make),
        _support_unit(list_equipment(desk)),
        _subscription(desk, make),
    )


def _of_bulletin(note: Note | None) -> list[PrepLine]:
    if note is None:
        return []
    source = f"bulletin {note.content.number}".strip()
    return [
        PrepLine(f"note-{note.id}-{n}", _place_of(text), text, source)
        for n, text in enumerate(note.content.precautions, start=1)
    ]


def _of_make(requirements: Sequence[RequirementView], module: str) -> list[PrepLine]:
    return [
        PrepLine(
            f"make-{one.id}",
            one.content.place,
            one.content.text,
            one.content.source_line or f"{one.content.make}, as entered by the lead",
            one.content.unit,
        )
        for one in requirements
        if not one.content.module or fold_id(one.content.module) == fold_id(module)
    ]


def _of_practice() -> list[PrepLine]:
    """The voltage window stands in no line of practice: it is the bulletin's or the manufacturer's own."""
    return [PrepLine(one.key, one.place, one.text, "common practice", one.unit) for one in STARTING_PREP]


def _device(equipment: Sequence[EquipmentView], make: str) -> PrepLine:
    listed = [
        (one.content.name, day)
        for one in equipment
        if one.content.kind is EquipmentKind.PASS_THRU_DEVICE
        for listed_make, day in one.content.validated.items()
        if fold(listed_make) == fold(make)
    ]
    if not listed:
        text = f"No pass-thru device here is known to be listed by {make or 'this manufacturer'}. Look it up."
        return PrepLine("device", "computer", text, "equipment", blocks=True)
    said = ", ".join(f"{name} (listed, looked up {day_words(day)})" for name, day in listed)
    return PrepLine("device", "computer", f"Pass-thru device: {said}", "equipment")


def _support_unit(equipment: Sequence[EquipmentView]) -> PrepLine:
    names = [one.content.name for one in equipment if supports_programming(one.content)]
    if not names:
        text = "No battery support unit is entered in the shop set-up."
        return PrepLine("support_unit_here", "battery", text, "equipment", blocks=True)
    return PrepLine("support_unit_here", "battery", f"Support unit: {' or '.join(names)}", "equipment")


def _subscription(desk: Desk, make: str) -> PrepLine:
    active = active_subscription(desk, make, SubscriptionKind.PROGRAMMING, desk.today)
    if active is None:
        who = make or "this manufacturer"
        text = f"No programming subscription runs for {who}. Look up by VIN before buying one."
        return PrepLine("subscription", "computer", text, "subscriptions", blocks=True)
    ends = day_words(active.content.ends_on)
    return PrepLine(
        "subscription", "computer", f"Programming subscription runs until {ends}", "subscriptions"
    )


def _place_of(text: str) -> str:
    said = text.casefold()
    if any(word in said for word in _AT_THE_COMPUTER):
        return "computer"
    return "battery" if any(word in said for word in _AT_THE_BATTERY) else "cabin"
