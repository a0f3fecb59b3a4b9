"""What the shop's calls teach of how many failures are told unasked: from a history to what silence says."""

from __future__ import annotations

import pytest

from kb.desk import counted
from kb.desk.context import RunningShop
from kb.outcomes.told import Calls
from tests.kb.desk.importing import LEAD, history, take

pytestmark = pytest.mark.both_databases

BACK = {"returned_on": "2026-03-20"}


def test_comebacks_past_their_window_are_counted_by_how_they_were_heard(shop: RunningShop) -> None:
    """Three told unasked, one found, one of which nobody says; one fine at the window, two never asked.

    Reached: the fine and the found, 2 of the 4 that said nothing. At .8 to start, h is then that of
    Beta(4, 1) times (h/k)^3 ((1 - h) .5/k), k = h + (1 - h) .5: below .8, since one of five had to be asked.
    """
    said = [BACK | {"heard": "unasked"}] * 3 + [BACK | {"heard": "asked"}, BACK]
    said += [{"last_seen_on": "2026-06-20"}, {}, {}]
    rows = [{"ro_number": str(i), "complaint": f"bucks {i}"} | one for i, one in enumerate(said)]
    take(shop, "history", history(*rows))
    with shop.reading(LEAD) as desk:
        found = counted.count(desk, desk.today)
    assert found.heard == (3, 1)
    assert found.calls == Calls(3, 1, 0.5)
    assert found.silence.mean_told < 0.8
