"""The lines that sign-offs put on a preparation list, one for each person they are about."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from kb.nouns.bay.on_file import Tick
from kb.nouns.days import day_words
from kb.nouns.shop.sign_offs import (
    FIRST_FEW_SAID,
    QUALIFIED_BY_OTHERS,
    Access,
    AccessKind,
    SignOffsOnFile,
    WorkKind,
    kinds_said,
)
from kb.nouns.shop.who_needs_signing import ACCESS_WORDS
from kb.prep.lines import PrepLine
from kb.prep.signed_off import signed_off, standing
from kb.vehicle.families import fold

NOT_SIGNED_OFF, CO_SIGN, OWN_ACCESS = "signed-off-", "co-sign-", "own-access-"
"""How the keys of the lines begin; of own access its id follows.

Then the kinds that are missing, or the sitting's number, and the person: a reason is given for those kinds, a
co-sign for that sitting.
"""
_OURS = (NOT_SIGNED_OFF, CO_SIGN, OWN_ACCESS)
_SOURCE = "sign-offs"
_OTHERS_DECIDE = (
    " Trained and licensed people only: the manufacturer's qualification and local law decide, whatever is "
    "signed off or passed here."
)


def is_by_hand(item: str) -> bool:
    """Whether whoever settled a line prepares: not at a release, nor by signing or passing for others."""
    return not item.startswith((*_OURS, "release"))


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
            key = f"{NOT_SIGNED_OFF}{'+'.join(stands.missing)}-{person}"
            lines.append(PrepLine(key, "computer", text, _SOURCE, blocks=True))
        if stands.new:
            who = signers(on_file, person, make, kinds, today)
            text = f"{new_to(called, stands.new)} {who_signs(on_file, who)} before programming begins."
            key = f"{CO_SIGN}{sitting}-{person}"
            lines.append(PrepLine(key, "computer", text, _SOURCE, blocks=not who, signers=who))
    return tuple(lines)


def lines_of_access(
    on_file: SignOffsOnFile,
    accesses: Iterable[Access],
    hands: Sequence[str],
    make: str,
    kinds: Sequence[WorkKind],
    today: date,
) -> tuple[PrepLine, ...]:
    """A blocker where somebody's own access to the make, as far as the work needs it, has ended."""
    return tuple(
        PrepLine(
            f"{OWN_ACCESS}{one.id}",
            "computer",
            f"{on_file.people[one.person]}: {ACCESS_WORDS[one.kind]} of {one.make} ended "
            f"{day_words(one.ends_on)}. Renew it: another person's is never used.",
            _SOURCE,
            blocks=True,
        )
        for one in accesses
        if one.person in hands
        and one.person in on_file.people
        and fold(one.make) == fold(make)
        and (one.kind is AccessKind.GATEWAY_REGISTRATION or WorkKind.SECURITY in kinds)
        and one.ends_on is not None
        and one.ends_on < today
    )


def lines_kept(
    on_file: SignOffsOnFile, ticks: Iterable[Tick], asked: Iterable[PrepLine]
) -> tuple[PrepLine, ...]:
    """What was signed or passed and is asked for no more, so that papers still tell it."""
    now = {one.key for one in asked}
    items = (one.item for one in ticks if one.item not in now)
    return tuple(
        PrepLine(item, "computer", _was_said(on_file, item), _SOURCE)
        for item in items
        if item.startswith(_OURS)
    )


def signers(
    on_file: SignOffsOnFile, person: str, make: str, kinds: Sequence[WorkKind], today: date
) -> tuple[str, ...]:
    """Who may co-sign for a person: whoever else may do it alone."""
    return tuple(one for one in signed_off(on_file, make, kinds, today).alone if one != person)


def _was_said(on_file: SignOffsOnFile, item: str) -> str:
    if item.startswith(OWN_ACCESS):
        return "Somebody's own access to the make had ended"
    person = item.removeprefix(NOT_SIGNED_OFF).removeprefix(CO_SIGN).partition("-")[2]
    called = on_file.people.get(person, person)
    if item.startswith(NOT_SIGNED_OFF):
        return f"{called} was not signed off for this"
    return f"{called} was new to this: co-signed before programming"


def new_to(called: str, kinds: Sequence[WorkKind]) -> str:
    return f"{called} is new to {kinds_said(kinds)}: one of the first {FIRST_FEW_SAID}."


def who_signs(on_file: SignOffsOnFile, people: Sequence[str]) -> str:
    if not people:
        return "Nobody here is signed off to co-sign it"
    return f"{' or '.join(on_file.people[one] for one in people)} co-signs it"
