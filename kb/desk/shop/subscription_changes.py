"""Correcting and removing subscriptions.

Anyone in the shop enters what was bought, since whoever stands at the programming computer buys it.
Correcting and removing change what the review told the owner, so these are for the lead and the owner.
A subscription carries a version: of two people who correct it at once, the second is shown what the first
one saved.
"""

from __future__ import annotations

from dataclasses import asdict
from datetime import date
from typing import Any

from kb.desk.context import Desk, lead_or_owner
from kb.desk.saving import changed, refuse_stale, saved
from kb.desk.shop.subscriptions import (
    SubscriptionDraft,
    SubscriptionView,
    columns_of,
    on_file,
    programmed_under,
    view_of,
)
from kb.errors import Conflict
from kb.records.store.shop import equipment as store
from kb.records.tables import Subscription


@lead_or_owner
def change_subscription(
    desk: Desk, subscription_id: int, version: int, draft: SubscriptionDraft
) -> SubscriptionView:
    """Correct what was mistyped; the trail keeps both values of each field that changed.

    Raises BadInput as adding does, and Conflict with both texts where somebody else corrected it meanwhile.
    """
    row = on_file(desk, subscription_id)
    columns = columns_of(desk, draft)
    _refuse_stale(row, version, yours=asdict(draft))
    new = {name: value for name, value in columns.items() if getattr(row, name) != value}
    if not new:
        return view_of(row)
    detail = {name: [_plain(getattr(row, name)), _plain(value)] for name, value in new.items()}
    return view_of(saved(desk, changed(row, new), "corrected", "subscription", **detail))


@lead_or_owner
def remove_subscription(desk: Desk, subscription_id: int, version: int) -> SubscriptionView:
    """Take away what was never bought, or was entered twice. Gives what it was; the trail keeps that too.

    Raises Conflict where a programming event names it (correct it then), or somebody corrected it meanwhile.
    """
    row = on_file(desk, subscription_id)
    _refuse_stale(row, version)
    under = programmed_under(desk, subscription_id)
    if under:
        raise Conflict(
            f"{_events(len(under))} this subscription, so it cannot be removed. "
            "Correct what is wrong with it instead.",
            details={"programmed_on": list(under)},
        )
    gone = view_of(row)
    detail = {name: _plain(value) for name, value in asdict(gone.content).items()}
    desk.note_down("removed", "subscription", row.id, **detail)
    store.remove(desk.session, row)
    return gone


def _refuse_stale(row: Subscription, version: int, **details: Any) -> None:
    theirs = asdict(view_of(row).content)
    sentence = "Somebody else corrected this subscription meanwhile."
    refuse_stale(row, version, sentence, theirs=theirs, **details)


def _events(count: int) -> str:
    return "1 programming event names" if count == 1 else f"{count} programming events name"


def _plain(value: Any) -> Any:
    """As JSON keeps it."""
    return value.isoformat() if isinstance(value, date) else value
