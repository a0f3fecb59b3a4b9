"""A program may leave the reading of a shop's own table to what the import page would suggest."""

from __future__ import annotations

import json
from typing import Any

from starlette.testclient import TestClient

from tests.simulated.exported_histories import exports

[FILE] = [one for one in exports(3, 60, 6) if one.name == "b.csv"]


def sent(client: TestClient, headers: dict[str, str], **more: Any) -> Any:
    files = {"file": (FILE.name, FILE.data, "text/csv")}
    return client.post("/api/imports", headers=headers, files=files, data={"format": "history", **more})


def test_what_is_suggested_can_be_asked_for_and_said_otherwise(
    sqlite_client: TestClient, as_lead: dict[str, str]
) -> None:
    refused = sent(sqlite_client, as_lead)
    assert refused.status_code == 422
    assert "Line 4 was taken for the one that names the columns" in refused.json()["error"]["message"]
    told = sent(sqlite_client, as_lead, suggest="true").json()
    assert (told["state"], told["created"], told["left_out_kept"]) == ("done", 54, True)
    assert {(one["line"], one["column"]) for one in told["errors"] if one["severity"] == "error"} == set(
        FILE.bad.items()
    )
    left = sqlite_client.get(f"/api/imports/{told['id']}/left-out", headers=as_lead)
    assert left.headers["content-type"] == "text/csv; charset=utf-8"
    assert len(left.text.splitlines()) == 1 + len(FILE.bad)
    without = {"mapping": json.dumps({"TSB": ""}), "suggest": "true", "dry_run": "true"}
    assert sent(sqlite_client, as_lead, **without).json()["created"] > 0, (
        "rows without their update are other rows"
    )
