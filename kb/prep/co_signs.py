"""The lines that sign-offs put on a preparation and a release list, one for each person they are about."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from kb.nouns.bay.on_file import Programmed, Tick
from kb.nouns.bay.release import CO_SIGN_AFTER, ReleaseItem
from kb.nouns.concerns import ReflashResult
from kb.nouns.shop.sign_offs import (
    QUALIFIED_BY_OTHERS,
    SignOffsOnFile,
    WorkKind,
    in_order,
    kinds_said,
)
from kb.prep.lines import PrepLine
from kb.prep.signed_off import signed_off, standing
from kb.vehicle.kinds_of_work import kinds_of_work

NOT_SIGNED_OFF, CO_SIGN = "signed-off-", "co-sign-"
"""How the keys of the lines begin; of a co-sign the sitting's number follows, and then the person's name."""
_SOURCE = "sign-offs"
_OTHERS_DECIDE = (
    " Trained and licensed people only: the manufacturer's qualification and local law decide, whatever is "
    "signed off or passed here."
)


def is_by_hand(item: str) -> bool:
    """Whether whoever settled a line prepares: not at a release, nor by signing or passing for others."""
    return not item.startswith((NOT_SIGNED_OFF, CO_SIGN, "release"))


def hands_on(ticks: Iterable[Tick], looking: str) -> tuple[str, ...]:
    """Who prepares: whoever settled a line before programming, and whoever has the list in hand."""
    return tuple(dict.fromkeys((*(one.by for one in ticks if is_by_hand(one.item)), looking)))


def lines_before(
    on_file: SignOffsOnFile,
    hands: Sequence[str],
    make: str,
    kinds: Sequence[WorkKind],
    today: date,
    sitting: int = 1,
) -> tuple[PrepLine, ...]:
    """A blocker for who is not signed off; for a newcomer a line that somebody else signs, each sitting."""
    lines = []
    for person in (one for one in hands if one in on_file.people):
        stands, called = standing(on_file, person, make, kinds, today), on_file.people[person]
        if stands.missing:
            of = f" of {make}" if make else ""
            text = f"{called} is not signed off for {kinds_said(stands.missing)}{of}."
            text += _OTHERS_DECIDE if QUALIFIED_BY_OTHERS.intersection(stands.missing) else ""
            lines.append(PrepLine(f"{NOT_SIGNED_OFF}{person}", "computer", text, _SOURCE, blocks=True))
        if stands.new:
            signers = _signers(on_file, person, make, kinds, today)
            text = f"{_new_to(called, stands.new)} {_who_signs(on_file, signers)} before programming begins."
            key = f"{CO_SIGN}{sitting}-{person}"
            lines.append(PrepLine(key, "computer", text, _SOURCE, blocks=not signers, signers=signers))
    return tuple(lines)


def lines_kept(
    on_file: SignOffsOnFile, ticks: Iterable[Tick], asked: Iterable[PrepLine]
) -> tuple[PrepLine, ...]:
    """What was signed or passed and is asked for no more, so that papers still tell it."""
    now = {one.key for one in asked}
    items = (one.item for one in ticks if one.item not in now)
    return tuple(
        PrepLine(item, "computer", _was_said(on_file, item), _SOURCE)
        for item in items
        if item.startswith((NOT_SIGNED_OFF, CO_SIGN))
    )


def sittings_of(done: Iterable[Programmed]) -> dict[str, tuple[Programmed, ...]]:
    """By technician, the modules of the last sitting in which they programmed."""
    last: dict[str, list[Programmed]] = {}
    for one in done:
        if one.technician and one.result is not ReflashResult.NOTHING_NEWER:
            held = last.get(one.technician, [])
            same = [*held, one] if held and held[0].event_id == one.event_id else [one]
            last[one.technician] = same
    return {person: tuple(modules) for person, modules in last.items()}


def kinds_done(modules: Iterable[Programmed], *, replaced: bool) -> tuple[WorkKind, ...]:
    """The kinds of work that a sitting was."""
    return in_order(kind for one in modules for kind in kinds_of_work(one.module, replaced=replaced))


def line_after(
    before_it: SignOffsOnFile,
    person: str,
    make: str,
    kinds: Sequence[WorkKind],
    performed_on: date,
    today: date,
) -> ReleaseItem | None:
    """What somebody else signs before a newcomer's vehicle leaves; None where nothing is to be signed.

    `before_it`: what was on file of the person when the sitting began.
    """
    stands = standing(before_it, person, make, kinds, performed_on)
    if not stands.new:
        return None
    signers = _signers(before_it, person, make, kinds, today)
    new = _new_to(before_it.people.get(person, person), stands.new)
    text = f"{new} {_who_signs(before_it, signers)} before it leaves"
    return ReleaseItem(f"{CO_SIGN_AFTER}{person}", text, signers=signers)


def _signers(
    on_file: SignOffsOnFile, person: str, make: str, kinds: Sequence[WorkKind], today: date
) -> tuple[str, ...]:
    return tuple(one for one in signed_off(on_file, make, kinds, today).alone if one != person)


def _was_said(on_file: SignOffsOnFile, item: str) -> str:
    if item.startswith(NOT_SIGNED_OFF):
        person = item.removeprefix(NOT_SIGNED_OFF)
        return f"{on_file.people.get(person, person)} was not signed off for this"
    person = item.removeprefix(CO_SIGN).partition("-")[2]
    return f"{on_file.people.get(person, person)} was new to this: co-signed before programming"


def _new_to(called: str, kinds: Sequence[WorkKind]) -> str:
    return f"{called} is new to {kinds_said(kinds)}: one of the first three."


def _who_signs(on_file: SignOffsOnFile, signers: Sequence[str]) -> str:
    if not signers:
        return "Nobody here is signed off to co-sign it"
    return f"{' or '.join(on_file.people[one] for one in signers)} co-signs it"
