"""Photos through the interface: of a safe kind, asked about again, for people of the shop."""

from __future__ import annotations

from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from tests.kb.desk.bay.test_photos import from_a_phone, opened


def test_photos_go_in_and_out_and_away(
    sqlite_client: TestClient, as_tech: dict[str, str], sqlite_shop: RunningShop
) -> None:
    place = f"/api/concerns/{opened(sqlite_shop)}/photos"
    sent = {"file": ("error.jpg", from_a_phone(wide=400))}
    said = {"shows": "error", "caption": "stopped at 60 %"}
    assert sqlite_client.post(place, files=sent).status_code == 401
    kept = sqlite_client.post(place, files=sent, data=said, headers=as_tech)
    assert kept.status_code == 201
    assert sqlite_client.get(place, headers=as_tech).json() == [kept.json()]
    where = f"/api/photos/{kept.json()['id']}"
    assert sqlite_client.get(where).status_code == 401
    photo = sqlite_client.get(where, headers=as_tech)
    assert (photo.headers["content-type"], photo.headers["x-content-type-options"]) == (
        "image/jpeg",
        "nosniff",
    )
    assert photo.headers["cache-control"] == "private, no-cache"
    again = sqlite_client.get(where, headers=as_tech | {"if-none-match": photo.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")
    small = sqlite_client.get(where, params={"small": True}, headers=as_tech)
    assert small.headers["etag"] != photo.headers["etag"]
    assert sqlite_client.delete(where, headers=as_tech).status_code == 204
    assert sqlite_client.get(where, headers=as_tech).status_code == 404


def test_what_cannot_be_kept_is_said(
    sqlite_client: TestClient, as_tech: dict[str, str], sqlite_shop: RunningShop
) -> None:
    place = f"/api/concerns/{opened(sqlite_shop)}/photos"
    refused = sqlite_client.post(place, files={"file": ("cat.jpg", b"meow")}, headers=as_tech)
    assert refused.status_code == 422
    assert "no photo that can be read" in refused.json()["error"]["message"]
