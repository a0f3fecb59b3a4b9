"""What was read, through the interface: added, compared, struck; a snapshot by its VIN; what is known."""

from __future__ import annotations

from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from tests.api.asking import asks
from tests.factories import MAKE, MODEL, headers_of

VIN = "1M8GDM9AXKP042788"  # published worked example of the check digit
ALIKE = "1M8GDM9A1KP042789"  # its next number, the check digit worked by hand
CAR = {"vin": VIN, "make": MAKE, "model": MODEL, "year": 1989, "engine": "2.0 L"}


def test_readings_of_before_stay_and_what_changed_is_said(client: TestClient, shop: RunningShop) -> None:
    ask, tech = asks(client), headers_of(shop, "tech")
    two = {"calibration_id": "NV10A", "cvn": "1A2B", "more": [{"calibration_id": "NV20A", "cvn": "3C4D"}]}
    opened = {"ro_number": "2087", "complaint": "bucks", **CAR, "calibrations": [{"module": "PCM", **two}]}
    concern = f"/concerns/{ask('POST', '/concerns', tech, opened, 201)['id']}"
    read = ask("GET", f"{concern}/readings", tech)
    assert [(one["kind"], one["place"], one["value"], one["moment"]) for one in read] == [
        ("calibration_id", 1, "NV10A", "before"),
        ("cvn", 1, "1A2B", "before"),
        ("calibration_id", 2, "NV20A", "before"),
        ("cvn", 2, "3C4D", "before"),
    ]
    module = {"module": "PCM", "result": "completed", "calibration_before": "NV10A", "cvn_before": "1A2B"}
    after = {"calibration_after": "NV10B", "cvn_after": "9F9F", "concern_ids": [int(concern[10:])]}
    day = ask("GET", concern, tech)["opened_on"]
    event = {"modules": [module | after], "performed_on": day}
    ask("POST", "/programming-events", tech, event, 201)
    told = ask("GET", concern, tech)
    assert [one["words"] for one in told["compared"]] == ["ID changed, CVN changed"]
    assert (told["reflashes"][0]["cvn_before"], told["reflashes"][0]["cvn_after"]) == ("1A2B", "9F9F")

    mistyped = ask("GET", f"{concern}/readings", tech)[-1]
    struck = ask("POST", f"{concern}/readings/{mistyped['id']}/strike", tech)[-1]
    assert (struck["value"], struck["struck_by"]) == ("9F9F", "tech")
    ask("POST", f"{concern}/readings/9999/strike", tech, expect=404)

    codes = {"codes": [{"code": "P0171", "module": "PCM", "status": "pending"}], "codes_scanned": "stored"}
    assert ask("PUT", f"{concern}/codes", tech, codes) == codes["codes"]
    assert ask("PUT", f"{concern}/codes", tech, {"codes": "p0300"})[0]["code"] == "P0300"
    scans = [one for one in ask("GET", f"{concern}/readings", tech) if one["kind"] == "code"]
    assert [one["value"] for one in scans] == ["P0171", "P0300"]


def test_a_snapshot_goes_by_its_vin_and_what_is_known_says_where_it_is_from(
    client: TestClient, shop: RunningShop
) -> None:
    ask, tech = asks(client), headers_of(shop, "tech")
    mine, other = (
        ask("POST", "/concerns", tech, {"ro_number": ro, "complaint": "bucks", **CAR, "vin": vin}, 201)["id"]
        for ro, vin in (("2087", VIN), ("2090", ""))
    )
    snapshot = {"vin": VIN, "taken_at": "2026-10-31T08:00:00Z", "voltage": 12.6, "codes": []}
    refused = ask("POST", f"/concerns/{other}/snapshots", tech, snapshot, 409)["error"]
    assert refused["details"]["concerns"] == [{"id": mine, "ref": "RO 2087-A"}]
    assert ask("GET", f"/concerns/{other}/readings", tech) == []
    kept = ask("POST", f"/concerns/{mine}/snapshots", tech, snapshot)
    assert kept == {"concern_id": mine, "ref": "RO 2087-A", "values": 2, "on_file_already": False}
    assert ask("POST", f"/concerns/{mine}/snapshots", tech, snapshot)["on_file_already"]
    assert ask("GET", f"/concerns/{mine}", tech)["codes_scanned"] == "none_stored"

    looked_up = {"looked_up_on": "2026-10-12", "by": "Ines", "newest_id": "NV10D"}
    ask("PUT", f"/concerns/{other}/look-ups/PCM", tech, looked_up)
    [known] = ask("GET", f"/concerns/{mine}/known-ids", tech)
    assert (known["known_from"], known["calibration_id"], known["on"]) == (
        "like_vehicle",
        "NV10D",
        "2026-10-12",
    )
    assert "that Ines looked up on another 1989 Norvane Tessel (RO 2090-A)" in known["sentence"]
    of_vin = ask("GET", f"/vehicles/known?vin={ALIKE}", tech)
    assert (of_vin["model"], of_vin["begins"], of_vin["vehicles"]) == (MODEL, "1M8GDM9A", 1)
    assert ask("GET", f"/vehicles/known?vin={VIN}", tech) is None
