"""`POST /api/read`: photos, files and texts in, proposals out; nothing is saved."""

from __future__ import annotations

import io
from concurrent.futures import ThreadPoolExecutor

import pytest
from starlette.testclient import TestClient

from tests.kb.intake.scan.drawn_photos import file_of, label, png_that_promises

VIN = "1NVAL45C7FR018832"
TEXT = """VIN: 1NVAL45C7FR018832   Odometer: 84,210 mi
Module: ECM
Cal ID: 0447B   CVN: 1A2B3C4D
P0171 pending
"""


def test_a_text_gives_proposals_and_nothing_is_saved(
    sqlite_client: TestClient, as_tech: dict[str, str]
) -> None:
    answer = sqlite_client.post("/api/read", data={"text": TEXT}, headers=as_tech)
    assert answer.status_code == 200
    read = answer.json()["proposals"]
    assert [(one["field"], one["value"], one["module"], one["status"], one["doubtful"]) for one in read] == [
        ("vin", VIN, "", "", []),
        ("odometer", "84210", "", "", []),
        ("calibration_id", "0447B", "ECM", "", []),
        ("cvn", "1A2B3C4D", "ECM", "", []),
        ("code", "P0171", "ECM", "pending", []),
    ]
    assert {one["source"] for one in read} == {"read"}
    assert all(one["read_from"] in TEXT for one in read)
    assert sqlite_client.get("/api/concerns?state=all", headers=as_tech).json() == []


def test_photos_and_files_are_read_together_with_the_import_mark(
    sqlite_client: TestClient, as_tech: dict[str, str]
) -> None:
    photo = file_of(label(f"I{VIN}", "Code39", tilt=6, noise=8))
    files = [
        ("file", ("door.jpg", photo)),
        ("file", ("scan.txt", TEXT.encode())),
        ("file", ("bad.jpg", b"x")),
    ]
    answer = sqlite_client.post("/api/read", files=files, headers=as_tech).json()
    vins = [one for one in answer["proposals"] if one["field"] == "vin"]
    assert [(one["value"], one["source"], one["read_from"]) for one in vins] == [(VIN, "photo", f"I{VIN}")]
    assert {one["field"] for one in answer["proposals"]} >= {"odometer", "cvn", "code"}
    assert "bad.jpg is no photo" in answer["message"]
    assert "with the extra" not in answer["message"]  # the code told the VIN: no letters were needed


@pytest.mark.parametrize(
    ("files", "said"),
    [
        ([], "Choose a photo or a file, or paste a text"),
        ([("big.jpg", b"\xff\xd8\xff" + bytes(40 << 20))], "larger than 20 MB"),
        ([("bomb.png", png_that_promises(60_000, 60_000))], "too large a picture"),
        ([("cat.jpg", b"meow")], "no photo that can be read"),
        ([("empty.txt", b"")], "empty"),
        ([("locked.pdf", b"%PDF-1.7 nothing")], "cannot be read"),
        ([("scan.txt", b"P0171")] * 11, "At most 10 files"),
    ],
)
def test_what_cannot_be_read_is_refused_with_what_to_do(
    files: list[tuple[str, bytes]], said: str, sqlite_client: TestClient, as_tech: dict[str, str]
) -> None:
    sent = [("file", one) for one in files]
    answer = sqlite_client.post("/api/read", files=sent or None, headers=as_tech)
    assert answer.status_code == 422
    assert said in answer.json()["error"]["message"]


def test_a_stranger_is_not_read_to_and_thirty_at_once_are(
    sqlite_client: TestClient, as_tech: dict[str, str]
) -> None:
    assert sqlite_client.post("/api/read", data={"text": TEXT}).status_code == 401
    photo = file_of(label(VIN, "DataMatrix", tilt=5))

    def send(_: int) -> list[str]:
        files = {"file": ("door.jpg", io.BytesIO(photo))}
        told = sqlite_client.post("/api/read", files=files, headers=as_tech).json()
        return [one["value"] for one in told["proposals"]]

    with ThreadPoolExecutor(30) as people:
        assert list(people.map(send, range(30))) == [[VIN]] * 30
