"""What was missing where a concern was turned away, by what was tapped and what the shop had for the make."""

from __future__ import annotations

from kb.nouns.bay.instead import (
    CUSTOMER_INSISTS,
    FREE_AT_DEALER,
    LEAVING_TODAY,
    NO_TOOL,
    OUT_OF_AUTHORIZATION,
)
from kb.nouns.review.month import Missing
from kb.nouns.shop.ways import Way

_THE_CUSTOMERS = (CUSTOMER_INSISTS, LEAVING_TODAY, OUT_OF_AUTHORIZATION)
TO_BE_HAD = (Missing.DEVICE, Missing.SUBSCRIPTION, Missing.TOOL)
"""What a shop can get, so that the next such concern stays."""


def missing(why_not: str, *, device_listed: bool, access: bool, way: str = "") -> Missing:
    """`why_not`: the reasons as tapped, empty where nobody gave one. `device_listed`: a device that the
    manufacturer lists for the make; `access`: a plan that runs or could be bought; `way`: by which it was
    sent out, empty where it was turned away.

    The customer's reasons and a free remedy go before what the shop lacked, unless somebody said so.
    """
    no_tool = NO_TOOL in why_not
    if way == Way.DEALER_FREE.value or (not no_tool and FREE_AT_DEALER in why_not):
        return Missing.FREE_ELSEWHERE
    if not no_tool and any(one in why_not for one in _THE_CUSTOMERS):
        return Missing.CUSTOMER
    if not device_listed:
        return Missing.DEVICE
    if not access:
        return Missing.SUBSCRIPTION
    if no_tool:
        return Missing.TOOL
    return Missing.CHOSEN if way else Missing.NOT_SAID
