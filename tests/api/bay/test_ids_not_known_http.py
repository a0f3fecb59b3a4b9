"""A recall that says reprogram and names no calibration: offered as an update with IDs not known, and the
whole job from there, through HTTP. From the real file: NHTSA ID 24V748, 2024 Nissan Rogue.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from tests.applications import interface_over
from tests.factories import actor_of, headers_of
from tests.kb.desk.imports.importing import take
from tests.kb.intake.reading import FIXTURES

ROWS = (FIXTURES / "software_recall.csv").read_bytes()
ROGUE = {
    "ro_number": "2087",
    "complaint": "backup camera blank in reverse",
    "make": "Nissan",
    "model": "Rogue",
    "year": 2024,
}
LOOK_UP = "IDs not known: look 24V748 up by VIN. Open? The dealer does it free."


@pytest.fixture
def tech(sqlite_shop: RunningShop) -> Iterator[TestClient]:
    take(sqlite_shop, "recall-communications", ROWS)
    with TestClient(interface_over(sqlite_shop), headers=headers_of(sqlite_shop, "tech")) as client:
        yield client


def ok(answer: Any) -> Any:
    assert answer.is_success, answer.text
    return answer.json() if answer.content else None


def opened(tech: TestClient, **said: Any) -> str:
    return f"/api/concerns/{ok(tech.post('/api/concerns', json=ROGUE | said))['id']}"


def test_the_rogue_is_offered_its_recall_and_looked_up_first(tech: TestClient) -> None:
    concern = opened(tech)
    advice = ok(tech.get(f"{concern}/advice"))
    offered = [(one["number"], one["ids_known"], one["remedy"]) for one in advice["candidates"]]
    assert offered == [("24V748", False, "software")]
    assert (advice["verdict"], advice["steps"][0]["text"]) == ("check_first", LOOK_UP)
    assert "Nothing on file" not in advice["sentence"]
    ok(tech.put(f"{concern}/recalls/24V748", json={"result": "open"}))
    advice = ok(tech.get(f"{concern}/advice"))
    assert [one["kind"] for one in advice["stops"]] == ["recall_open"]
    assert advice["steps"][0]["text"].startswith("Send it to the dealer for the recall")
    sent = {"did": "sent_to_dealer", "why_not": "the dealer does it free"}
    ok(tech.post(f"{concern}/decisions", json=sent))
    ok(tech.post(f"{concern}/close", json={"ending": "sent_to_dealer"}))
    assert ok(tech.get(concern))["state"] == "closed"


@pytest.mark.parametrize(
    ("path", "result"), [("/24V748", "not_for_this_vin"), ("/24V748", "done"), ("", "none_open")]
)
def test_what_the_look_up_rules_out_is_no_candidate_and_that_is_said(
    tech: TestClient, path: str, result: str
) -> None:
    concern = opened(tech)
    ok(tech.put(f"{concern}/recalls{path}", json={"result": result}))
    advice = ok(tech.get(f"{concern}/advice"))
    assert advice["candidates"] == []
    assert any(one.startswith("24V748") for one in advice["notices"])
    assert advice["sentence"].startswith("Keep diagnosing: by the look-up 24V748 has nothing for this VIN")


def test_years_that_leave_the_vehicle_out_are_said(tech: TestClient) -> None:
    advice = ok(tech.get(f"{opened(tech, year=2022)}/advice"))
    assert advice["candidates"] == []
    assert "24V748 is about this and is for 2024-2025, not for 2022." in advice["notices"]
    assert advice["sentence"] == "Keep diagnosing: what is on file about this is not for this model year."


BULLETIN = {
    "kind": "bulletin",
    "number": "NV-25-7",
    "title": "Engine bucks and jerks at light throttle",
    "body": "Replace the sensor, then reprogram the PCM.",
    "coverage": [{"make": "Norvane", "model": "Tessel", "years": [[2017, 2021]]}],
    "remedy": "software_and_part",
    "remedy_module": "PCM",
}
BUCKS = {"complaint": "bucks at light throttle", "make": "Norvane", "model": "Tessel", "year": 2019}


def test_a_bulletin_without_ids_asks_for_the_look_up_of_its_module_and_for_the_part(
    tech: TestClient, sqlite_shop: RunningShop
) -> None:
    lead = headers_of(sqlite_shop, "lead")
    ok(tech.post("/api/notes", json=BULLETIN, headers=lead))
    concern = opened(tech, **BUCKS)
    advice = ok(tech.get(f"{concern}/advice"))
    assert [(one["number"], one["ids_known"]) for one in advice["candidates"]] == [("NV-25-7", False)]
    assert advice["steps"][0]["text"] == (
        "IDs not known: look up the newest calibration of the PCM by VIN at the manufacturer "
        "(NV-25-7 says reprogram)."
    )
    assert any("software and a part" in one for one in advice["notices"])
    ok(tech.put(f"{concern}/costs/part_cost", json={"value": 240, "why": "sensor, half an hour"}))
    dearer = ok(tech.get(f"{concern}/advice"))
    [before, after] = [one["costs"]["parts"][0]["total"] for one in (advice, dearer)]
    assert after - before == pytest.approx(240)
    with sqlite_shop.reading(actor_of(sqlite_shop, "tech")) as desk:
        day = {"looked_up_on": desk.today.isoformat(), "by": "tech"}
    ok(tech.put(f"{concern}/look-ups/PCM", json=day | {"newest_id": "NV9Z"}))
    looked_up = ok(tech.get(f"{concern}/advice"))
    assert looked_up["steps"][0]["text"] == "Read the calibration ID of the PCM."
    ok(tech.put(f"{concern}/look-ups/PCM", json=day | {"nothing_newer": True}))
    nothing = ok(tech.get(f"{concern}/advice"))
    assert nothing["candidates"] == []
    assert "NV-25-7: nothing newer by the look-up of the PCM, so nothing to install." in nothing["notices"]
