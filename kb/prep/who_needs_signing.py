"""Who needs signing off, decided from work seen, concerns that are open, and last days."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta

from kb.nouns.shop.sign_offs import KIND_WORDS, Access, SignOff, SignOffsOnFile, in_order
from kb.nouns.shop.who_needs_signing import (
    ACCESS_WORDS,
    LOOKED_AHEAD_DAYS,
    LOOKED_BACK_DAYS,
    Ends,
    MakeWithout,
    OpenWork,
    WhoNeedsSigning,
    WithoutSignOff,
    WorkSeen,
)
from kb.prep.signed_off import missing, signed_off
from kb.vehicle.families import fold


def who_needs_signing(
    on_file: SignOffsOnFile,
    accesses: Sequence[Access],
    seen: Sequence[WorkSeen],
    waiting: Sequence[OpenWork],
    today: date,
) -> WhoNeedsSigning:
    """People by name, each make once, with the newest work that shows a lack; makes; what ends first.

    Who was signed off since lacks nothing any more. Makes are told only where anybody is signed off at all.
    """
    return WhoNeedsSigning(
        recorded=not on_file.is_empty,
        people=tuple(_people(on_file, seen, today)),
        makes=tuple(
            MakeWithout(one)
            for one in sorted(waiting, key=lambda one: (fold(one.make), one.kinds))
            if one.make and signed_off(on_file, one.make, one.kinds, today).is_held_back
        ),
        ends=_what_ends(on_file, accesses, today),
    )


def _what_ends(on_file: SignOffsOnFile, accesses: Iterable[Access], today: date) -> tuple[Ends, ...]:
    """Last days from so long ago to so far ahead, the first first, of what nothing later stands in for."""
    held = [one for one in on_file.sign_offs if one.ended_on is None]
    own = [one for one in accesses if one.gone_on is None]
    found = [
        *(_of_sign_off(on_file, one, today) for one in held if not _is_followed(one, held)),
        *(_of_access(on_file, one, today) for one in own if not _is_held_longer(one, own)),
    ]
    first, last = today - timedelta(LOOKED_BACK_DAYS), today + timedelta(LOOKED_AHEAD_DAYS)
    shown = [one for one in found if one is not None and first <= one.on <= last]
    return tuple(sorted(shown, key=lambda one: (one.on, one.called, one.what)))


def _people(on_file: SignOffsOnFile, seen: Iterable[WorkSeen], today: date) -> Iterator[WithoutSignOff]:
    newest: dict[tuple[str, str], WithoutSignOff] = {}
    for work in sorted(seen, key=lambda one: (one.on or today, one.concern_id or 0)):
        called, at = on_file.people.get(work.person), (work.person, fold(work.make))
        lacks = missing(on_file, work.person, work.make, work.kinds, today) if called else ()
        if lacks:
            before = newest[at].work.kinds if at in newest else ()
            told = replace(work, kinds=in_order((*before, *lacks)))
            newest[at] = WithoutSignOff(work.person, called or "", told)
    yield from (newest[at] for at in sorted(newest))


def _of_sign_off(on_file: SignOffsOnFile, one: SignOff, today: date) -> Ends | None:
    if one.valid_to is None or one.person not in on_file.people:
        return None
    words, over = f"sign-off for {KIND_WORDS[one.kind]}", one.valid_to < today
    return Ends(one.person, on_file.people[one.person], words, one.make, one.valid_to, over)


def _of_access(on_file: SignOffsOnFile, one: Access, today: date) -> Ends | None:
    if one.ends_on is None or one.person not in on_file.people:
        return None
    words, over = ACCESS_WORDS[one.kind], one.ends_on < today
    return Ends(one.person, on_file.people[one.person], words, one.make, one.ends_on, over)


def _is_followed(one: SignOff, held: Iterable[SignOff]) -> bool:
    """Whether a later sign-off of the same person and kind stands for the make when this one ends."""
    end = one.valid_to or date.max
    return any(
        other.person == one.person
        and other.kind is one.kind
        and (not other.make or fold(other.make) == fold(one.make))
        and (other.valid_to or date.max) > end
        for other in held
    )


def _is_held_longer(one: Access, held: Iterable[Access]) -> bool:
    end = one.ends_on or date.max
    return any(
        (other.person, other.kind, fold(other.make)) == (one.person, one.kind, fold(one.make))
        and (other.ends_on or date.max) > end
        for other in held
    )
