"""What the invented shop bills when a concern is closed: as agreed; now and then nobody writes it down."""

from __future__ import annotations

from zlib import crc32

from demo_data.loading import Loading
from demo_data.story import Closed
from kb.desk.bay.programming import money
from kb.desk.context import Desk
from kb.nouns.concerns import Ending

FORGOTTEN = 12
"""Of so many bills one is never written down."""


def bill(desk: Desk, what: Closed, loading: Loading) -> None:
    """Bill what was agreed, once; what programming did not cure as it was agreed for that."""
    agreed = loading.agreed.pop(what.concern, None)
    forgotten = crc32(what.concern.encode()) % FORGOTTEN == 0
    if agreed is None or agreed.declined or forgotten or what.ending is Ending.SENT_TO_DEALER:
        return
    concern = loading.concerns[what.concern]
    uncured = what.concern in loading.programmed and what.ending is not Ending.CURED_BY_REFLASH
    terms = agreed.if_not_cured.replace(" ", "_")
    if uncured and terms == "no_charge":
        return
    money.record_payment(desk, concern, "billed", agreed.amount_minor, "customer")
    if uncured and terms == "credited":
        money.record_payment(desk, concern, "credited", agreed.amount_minor, "customer")
