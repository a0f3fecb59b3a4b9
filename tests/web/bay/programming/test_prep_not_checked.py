"""A preparation list that is done says so of its lines alone: recalls nobody looked up are not settled."""

from __future__ import annotations

from kb.desk.bay.concern import facts, recalls
from kb.desk.bay.programming import prep
from kb.desk.context import RunningShop
from kb.nouns.recalls import RecallResult
from tests.factories import actor_of
from tests.web.conftest import SignIn


def test_everything_is_settled_only_where_recalls_were_looked_up(bay: RunningShop, signed_in: SignIn) -> None:
    tech = actor_of(bay, "tech")
    with bay.writing(tech) as desk:
        for item in prep.prep_list(desk, 1).items:
            if item.line.unit:
                low, high = item.line.ends or (None, None)
                prep.tick(desk, 1, item.line.key, f"{(low or high or 13.5):g}")
            elif item.line.blocks:
                prep.pass_over(desk, 1, item.line.key, "borrowed from next door")
            else:
                prep.tick(desk, 1, item.line.key, "seen" if item.line.asks else "")
    said = signed_in("tech").see("/concerns/1/prep").text
    assert "Every line is settled; recalls and free coverage not checked" in said
    assert "Everything is settled" not in said
    with bay.writing(tech) as desk:
        facts.put_gate(desk, 1, "warranty_checked", "fine")
    assert "Every line is settled; recalls not checked" in signed_in("tech").see("/concerns/1/prep").text
    with bay.writing(tech) as desk:
        recalls.put_look_up(desk, 1, RecallResult.NONE_OPEN)
    assert "Everything is settled" in signed_in("tech").see("/concerns/1/prep").text
