"""What somebody else signs for a newcomer before the vehicle leaves."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from kb.nouns.bay.on_file import Programmed
from kb.nouns.bay.release import CO_SIGN_AFTER, ReleaseItem
from kb.nouns.concerns import ReflashResult
from kb.nouns.shop.sign_offs import SignOffsOnFile, WorkKind, in_order
from kb.prep.co_signs import new_to, signers, who_signs
from kb.prep.signed_off import standing
from kb.vehicle.kinds_of_work import kinds_of_work


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
    who = signers(before_it, person, make, kinds, today)
    new = new_to(before_it.people.get(person, person), stands.new)
    text = f"{new} {who_signs(before_it, who)} before it leaves"
    return ReleaseItem(f"{CO_SIGN_AFTER}{person}", text, signers=who)
