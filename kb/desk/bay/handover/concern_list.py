"""Concerns as a list, and what an open one may be looked for by."""

from __future__ import annotations

from collections import Counter

from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.concern.concern_lines import with_counted
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput
from kb.nouns.bay.concern_file import ConcernLine
from kb.nouns.bay.list_asked import NOTHING, ListAsked, OpenByKind
from kb.nouns.bay.waiting import WaitingFor
from kb.records.store.bay import narrowing
from kb.records.store.bay.other_concerns import concerns_listed
from kb.vehicle.modules import module_called

WAITS = (*(one.value for one in WaitingFor), NOTHING)


@anyone_in_the_shop
def list_concerns(
    desk: Desk,
    state: str = "open",
    text: str = "",
    limit: int = 100,
    after: int | None = None,
    *,
    mine: bool = False,
    waiting_for: str = "",
    module: str = "",
) -> tuple[ConcernLine, ...]:
    """Concerns newest first, from the one after that id: of one state (open, closed, or empty for all), and
    whichever of the rest is asked for. `mine` are those that I opened or wrote something down on; `module` is
    read there, named by a code, or programmed by the update that is about it.

    Raises NotFound for an `after` that is no concern, BadInput for a wait that there is none of.
    """
    if waiting_for and waiting_for not in WAITS:
        known = f"one of {', '.join(WAITS)}"
        raise BadInput(f"A concern waits for {known}.", fields={"waiting_for": known})
    last = None if after is None else concerns_desk.on_file(desk, after).concern
    asked = ListAsked(state, text.strip(), desk.actor.name if mine else "", waiting_for, _called(module))
    written = _written(desk, asked) if asked.module else ()
    return with_counted(desk, concerns_listed(desk.session, desk.shop.id, asked, limit, last, written))


@anyone_in_the_shop
def open_by_kind(desk: Desk) -> OpenByKind:
    """How many open concerns there are of each kind that the list may be narrowed to, if any."""
    modules = {(at, _called(module)) for at, module in narrowing.open_modules(desk.session, desk.shop.id)}
    waits = narrowing.open_by_wait(desk.session, desk.shop.id)
    goes_on = waits.pop("", 0)
    told = {one.value: waits[one] for one in WaitingFor if one in waits}
    return OpenByKind(
        mine=narrowing.open_of(desk.session, desk.shop.id, desk.actor.name),
        waiting_for=told | ({NOTHING: goes_on} if told and goes_on else {}),
        modules=dict(sorted(Counter(module for _, module in modules).items())),
    )


def _called(module: str) -> str:
    """What a module is called here, so that ECM and PCM are one."""
    return module_called(module) or module.strip().upper()


def _written(desk: Desk, asked: ListAsked) -> list[str]:
    every = narrowing.modules_written(desk.session, desk.shop.id, asked.state)
    return [one for one in every if _called(one) == asked.module]
