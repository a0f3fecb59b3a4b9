"""The page of an import shows what was read of its texts in groups, and takes the answers."""

from __future__ import annotations

from kb.desk.context import RunningShop
from tests.kb.desk.imports.importing import take
from tests.kb.desk.imports.test_reflashes_read import BARE, DECLINED, GONE, UNPLAIN, texts
from tests.web.conftest import SignIn


def test_groups_are_counted_left_out_and_looked_at_one_by_one(bay: RunningShop, signed_in: SignIn) -> None:
    take(bay, "history", texts(GONE, GONE, BARE, DECLINED, UNPLAIN))
    lead = signed_in("lead")
    page = lead.see("/imports/1")
    assert "3 reflashes in 2 groups of alike texts" in page.text
    assert "None counts before you say so." in page.text
    assert "<mark>Reprogrammed</mark> <mark>PCM</mark> per <mark>NV-24-101</mark>" in page.html
    assert "Could not tell: look at these" in page.text
    assert "1 text speaks of programming, and it is not plain" in page.text
    assert "1 declined" in page.text
    unnamed, named = sorted(
        (one for one in page.links if "/reflashes/" in one and "not-read" not in one),
        key=lambda one: "NV-24-101" in lead.see(one).text,
    )
    refused = lead.send("/imports/1", unnamed, {"do": "take"}, expect=422)
    assert "The text names no update." in refused.text
    counted = lead.send("/imports/1", named, {"do": "take"})
    assert "2 reflashes counted." in counted.text
    assert "2 counted so far" in counted.text
    assert "Tick the texts" in lead.send(unnamed, unnamed, {"do": "take"}, expect=422).text
    [text] = [one["value"] for one in lead.see(unnamed).all("input") if one.get("name") == "only"]
    ticked = {"only": text, "without_number": "yes"}
    assert "1 reflash counted." in lead.send(unnamed, unnamed, ticked | {"do": "take"}).text
    assert "All are answered." in lead.see("/imports/1").text
    assert "1 reflash taken back" in lead.send(unnamed, unnamed, ticked | {"do": "take_back"}).text


def test_a_technician_may_not_answer(bay: RunningShop, signed_in: SignIn) -> None:
    take(bay, "history", texts(GONE))
    lead = signed_in("lead")
    [group] = [one for one in lead.see("/imports/1").links if "/reflashes/" in one]
    assert signed_in("tech").client.get(group).status_code == 403
