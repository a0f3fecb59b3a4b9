"""The answer to "who needs signing off?": gathered from what was programmed, is prepared and is open."""

from __future__ import annotations

from collections import defaultdict
from datetime import timedelta

from kb.desk.context import Desk, lead_or_owner
from kb.desk.shop import own_access, sign_offs
from kb.nouns.shop.sign_offs import WorkKind
from kb.nouns.shop.who_needs_signing import LOOKED_BACK_DAYS, OpenWork, WhoNeedsSigning, WorkSeen
from kb.prep import who_needs_signing as rule
from kb.prep.co_signs import is_by_hand
from kb.records.store.shop import sign_offs as store
from kb.records.store.shop import work_seen
from kb.vehicle.families import fold
from kb.vehicle.kinds_of_work import kinds_of_work


@lead_or_owner
def who_needs_signing(desk: Desk) -> WhoNeedsSigning:
    """People without a sign-off for what they did or prepare, makes that nobody may do, and what ends."""
    on_file = sign_offs.on_file(desk)
    since = desk.today - timedelta(LOOKED_BACK_DAYS)
    done = store.programmed_by(desk.session, desk.shop.id, on_file.people, since=since)
    seen = [
        WorkSeen(one.technician, one.make, kinds_of_work(one.module, replaced=one.replaced), one.performed_on)
        for one in done
    ]
    return rule.who_needs_signing(
        on_file,
        own_access.list_accesses(desk),
        [*seen, *_prepared(desk)],
        _open_work(desk),
        desk.today,
    )


def _prepared(desk: Desk) -> list[WorkSeen]:
    """A concern's list does not say which module; an update, or a replaced module, is known."""
    lines = work_seen.prepared(desk.session, desk.shop.id)
    return [
        WorkSeen(
            one.person,
            one.make,
            kinds_of_work("", replaced=one.replaced),
            concern_id=one.concern_id,
            ref=one.ref,
        )
        for one in lines
        if is_by_hand(one.item)
    ]


def _open_work(desk: Desk) -> list[OpenWork]:
    counted: dict[tuple[str, tuple[WorkKind, ...]], int] = defaultdict(int)
    written: dict[str, str] = {}
    for make, replaced, concerns in work_seen.open_by_make(desk.session, desk.shop.id):
        written.setdefault(fold(make), make)
        counted[fold(make), kinds_of_work("", replaced=replaced)] += concerns
    return [OpenWork(written[make], kinds, concerns) for (make, kinds), concerns in counted.items()]
