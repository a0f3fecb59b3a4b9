"""What was missing, by what was tapped and what the shop has: each rule by hand."""

from __future__ import annotations

import pytest

from kb.nouns.bay.instead import CUSTOMER_INSISTS, FREE_AT_DEALER, LEAVING_TODAY, NO_TOOL, WHY_NOT
from kb.nouns.review.month import Missing
from kb.outcomes.money.turned_away import missing


@pytest.mark.parametrize(
    ("why", "listed", "access", "way", "told"),
    [
        ("", False, True, "", Missing.DEVICE),
        ("", True, False, "", Missing.SUBSCRIPTION),
        ("", True, True, "", Missing.NOT_SAID),
        ("", True, True, "mobile_programmer", Missing.CHOSEN),
        ("", False, False, "mobile_programmer", Missing.DEVICE),
        ("", False, False, "dealer_free", Missing.FREE_ELSEWHERE),
        (FREE_AT_DEALER, False, False, "", Missing.FREE_ELSEWHERE),
        (f"{CUSTOMER_INSISTS}, {LEAVING_TODAY}", False, False, "", Missing.CUSTOMER),
        (f"{LEAVING_TODAY}, {NO_TOOL}", True, True, "", Missing.TOOL),
        (f"{NO_TOOL}, {FREE_AT_DEALER}", False, True, "", Missing.DEVICE),
    ],
)
def test_what_would_have_kept_a_concern(
    why: str, listed: bool, access: bool, way: str, told: Missing
) -> None:
    assert missing(why, device_listed=listed, access=access, way=way) is told


def test_every_reason_to_tap_is_kept_as_one_text() -> None:
    """Reasons are joined by commas and looked for in the whole: none is part of another, or has a comma."""
    assert not [(one, other) for one in WHY_NOT for other in WHY_NOT if one != other and one in other]
    assert not [one for one in WHY_NOT if "," in one]
