"""Whether a person may do a kind of work on a make on a day, by what the shop signed off.

| on file                                                    | then                             |
|------------------------------------------------------------|----------------------------------|
| nobody was ever signed off for anything                    | nothing is held back             |
| a kind for which no sign-off of the person runs            | a blocker, passed with a reason  |
| all that run for a kind are a newcomer's, first few not done | co-signed at prep and at release |
| else                                                       | alone                            |

The first few are counted by kind of work, whatever the make: what goes wrong differs between an update and a
replaced module, hardly between two makes' updates; by make each newcomer would be watched for years.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from kb.nouns.shop.sign_offs import (
    FIRST_FEW,
    ModuleProgrammed,
    SignedOff,
    SignOff,
    SignOffsOnFile,
    WorkKind,
    in_order,
)
from kb.vehicle.families import fold
from kb.vehicle.kinds_of_work import kinds_of_work


@dataclass(frozen=True, slots=True)
class Standing:
    """What keeps a person from doing work alone: kinds nobody signed them off for, and kinds new to them."""

    missing: tuple[WorkKind, ...] = ()
    new: tuple[WorkKind, ...] = ()

    @property
    def alone(self) -> bool:
        return not self.missing and not self.new

    @property
    def cosigned(self) -> bool:
        return not self.missing and bool(self.new)


def standing(
    on_file: SignOffsOnFile, person: str, make: str, kinds: Sequence[WorkKind], on: date
) -> Standing:
    """How a person stands to work on a make; whoever has no account any more is signed off for nothing."""
    if on_file.is_empty:
        return Standing()
    running = _running(on_file, person, make, kinds, on)
    return Standing(
        _without(running),
        in_order(
            kind
            for kind, some in running.items()
            if some and all(one.newcomer for one in some) and on_file.done.get((person, kind), 0) < FIRST_FEW
        ),
    )


def missing(
    on_file: SignOffsOnFile, person: str, make: str, kinds: Sequence[WorkKind], on: date
) -> tuple[WorkKind, ...]:
    """Kinds for which no sign-off of a person runs, also in a shop in which nobody is signed off."""
    return _without(_running(on_file, person, make, kinds, on))


def signed_off(on_file: SignOffsOnFile, make: str, kinds: Sequence[WorkKind], on: date) -> SignedOff:
    """Everybody who may do all of these kinds on a make that day, by name."""
    found = {person: standing(on_file, person, make, kinds, on) for person in sorted(on_file.people)}
    recorded = not on_file.is_empty
    return SignedOff(
        make,
        in_order(kinds),
        on,
        recorded,
        tuple(person for person, one in found.items() if recorded and one.alone),
        tuple(person for person, one in found.items() if recorded and one.cosigned),
    )


def done_by(done: Iterable[ModuleProgrammed]) -> dict[tuple[str, WorkKind], int]:
    """How often each person programmed each kind of work: sittings, however many modules were in one."""
    sittings = {
        (one.technician, kind, one.event_id)
        for one in done
        for kind in kinds_of_work(one.module, replaced=one.replaced)
    }
    return dict(Counter((person, kind) for person, kind, _ in sittings))


def _running(
    on_file: SignOffsOnFile, person: str, make: str, kinds: Sequence[WorkKind], on: date
) -> dict[WorkKind, list[SignOff]]:
    theirs = on_file.of(person) if person in on_file.people else ()
    return {kind: [one for one in theirs if _is_for(one, make, kind, on)] for kind in kinds}


def _without(running: Mapping[WorkKind, Sequence[SignOff]]) -> tuple[WorkKind, ...]:
    return in_order(kind for kind, some in running.items() if not some)


def _is_for(one: SignOff, make: str, kind: WorkKind, on: date) -> bool:
    """Whether a sign-off runs for this make and kind; one without a make is for every make."""
    return one.kind is kind and (not one.make or fold(one.make) == fold(make)) and one.runs_on(on)
