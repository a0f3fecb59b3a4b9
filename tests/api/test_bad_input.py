"""What people really send. Everything is refused in a sentence that names the field, and nothing is lost."""

from __future__ import annotations

import io
import zipfile
from typing import Any

import pytest
from starlette.testclient import TestClient

from kb.desk.context import CONSOLE, RunningShop
from kb.records.tables import User
from tests.api.test_errors import error_of
from tests.factories import headers_of

pytestmark = pytest.mark.both_databases

BULLETIN = {
    "kind": "bulletin",
    "number": "NV-24-101",
    "title": "Engine bucks at light throttle",
    "coverage": [{"make": "Norvane", "model": "Tessel", "years": [[2017, 2021]]}],
    "steps": [{"module": "PCM", "old_ids": ["NV10A"], "new_id": "NV10B"}],
}
CONCERN = {"ro_number": "2087", "complaint": "bucks and jerks uphill"}

# Seventeen ones is the usual example of a VIN whose check digit is right (49 CFR 565.15; from memory).
GOOD_VIN = "1" * 17
WRONG_CHECK_DIGIT = "11111111X11111111"


@pytest.fixture
def lead(shop: RunningShop) -> dict[str, str]:
    return headers_of(shop, "lead")


@pytest.fixture
def tech(shop: RunningShop) -> dict[str, str]:
    return headers_of(shop, "tech")


def refused(answer: Any, field: str, status: int = 422) -> dict[str, Any]:
    error = error_of(answer)
    assert answer.status_code == status, answer.text
    assert field in error["fields"], error
    assert error["message"].endswith((".", "?")), "people read it, so it is a sentence"
    return error


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"vin": GOOD_VIN[:16], "year": 2019}, "vin"),
        ({"vin": WRONG_CHECK_DIGIT, "year": 2019}, "vin"),
        ({"codes": "P13"}, "codes"),
        ({"codes": ["P0171", "P13"]}, "codes"),
        ({"year": 1875}, "year"),
        ({"complaint": "knock " * 33_334}, "complaint"),
        ({"complaint": "   "}, "complaint"),
        ({"ro_number": ""}, "ro_number"),
    ],
)
def test_a_concern_that_cannot_be_names_its_field_and_is_not_opened(
    client: TestClient, tech: dict[str, str], said: dict[str, Any], field: str
) -> None:
    refused(client.post("/api/concerns", json=CONCERN | said, headers=tech), field)
    assert client.get("/api/concerns", params={"state": "all"}, headers=tech).json() == []


def test_a_vin_with_a_wrong_check_digit_is_taken_when_somebody_looked_again(
    client: TestClient, tech: dict[str, str]
) -> None:
    wrong = CONCERN | {"vin": WRONG_CHECK_DIGIT, "year": 2019}
    asked = client.post("/api/concerns", json=wrong, headers=tech).json()["error"]
    assert "vin_confirmed" not in asked["message"]
    confirmed = wrong | {asked["details"]["confirmed_by"]: True}
    opened = client.post("/api/concerns", json=confirmed, headers=tech)
    assert opened.status_code == 201
    assert opened.json()["warnings"] != []
    right = client.post(
        "/api/concerns", json=CONCERN | {"ro_number": "2088", "vin": GOOD_VIN, "year": 2001}, headers=tech
    )
    assert right.json()["warnings"] == []


def test_a_search_of_a_year_that_never_was_is_refused(client: TestClient, tech: dict[str, str]) -> None:
    refused(client.get("/api/search", params={"q": "stalls", "year": 1875}, headers=tech), "year")
    empty = client.get("/api/search", params={"q": "", "year": ""}, headers=tech)
    assert empty.status_code == 200
    assert empty.json()["results"] == []
    assert empty.json()["message"]


def test_calibrations_that_would_run_in_a_circle_are_refused(
    client: TestClient, lead: dict[str, str]
) -> None:
    assert client.post("/api/notes", json=BULLETIN, headers=lead).status_code == 201
    back = BULLETIN | {
        "number": "NV-24-102",
        "steps": [{"module": "PCM", "old_ids": ["NV10B"], "new_id": "NV10A"}],
    }
    error = refused(client.post("/api/notes", json=back, headers=lead), "steps")
    assert "NV10A" in error["message"]


def test_of_two_people_saving_one_note_the_second_gets_both_texts(
    client: TestClient, shop: RunningShop, lead: dict[str, str]
) -> None:
    owner = headers_of(shop, "owner")
    made = client.post("/api/notes", json={"kind": "lesson", "title": "Ground G102"}, headers=lead).json()
    path = f"/api/notes/{made['id']}"
    first = {"kind": "lesson", "title": "Ground G102 corrodes", "version": 1}
    second = {"kind": "lesson", "title": "Ground G102 works loose", "version": 1}
    assert client.put(path, json=first, headers=lead).json()["version"] == 2
    stale = client.put(path, json=second, headers=owner)
    details = error_of(stale)["details"]
    assert stale.status_code == 409
    assert (details["yours"]["title"], details["theirs"]["title"]) == (second["title"], first["title"])
    assert client.get(path, headers=lead).json()["title"] == first["title"]
    again = client.put(path, json=second | {"version": details["version"]}, headers=owner)
    assert again.json()["version"] == 3
    titles = [one["content"]["title"] for one in client.get(f"{path}/revisions", headers=lead).json()]
    assert titles == [second["title"], first["title"], "Ground G102"]


def _import(client: TestClient, headers: dict[str, str], format_name: str, name: str, data: bytes) -> Any:
    return client.post(
        "/api/imports", headers=headers, files={"file": (name, data)}, data={"format": format_name}
    )


def test_a_dry_run_warns_of_comebacks_that_are_left_out_and_names_other_columns(
    client: TestClient, lead: dict[str, str]
) -> None:
    data = b"ro_number,complaint,Comeback,Pay\n1,stalls,yes,80\n"
    file = {"file": ("old.csv", data)}
    asked = {"format": "history", "dry_run": "true"}
    told = client.post("/api/imports", headers=lead, files=file, data=asked).json()
    assert [(one["field"], one["severity"]) for one in told["errors"]] == [
        ("Comeback", "warning"),
        ("Pay", "notice"),
    ]
    assert "1 row says “yes”. Rows that came back would count as cured." in told["errors"][0]["message"]
    assert (told["error_count"], told["warning_count"]) == (0, 1)
    read = asked | {"mapping": '{"Comeback": "came_back", "Pay": ""}'}
    told = client.post("/api/imports", headers=lead, files=file, data=read).json()
    assert [one["field"] for one in told["errors"]] == ["Pay", "reflashed_on"]


def test_a_csv_without_a_column_that_is_needed_says_which(client: TestClient, lead: dict[str, str]) -> None:
    answer = _import(client, lead, "notes", "notes.csv", b"kind,body\nlesson,look at the ground\n")
    assert answer.status_code == 422
    assert "title" in error_of(answer)["message"]
    assert client.get("/api/imports", headers=lead).json() == []


def test_half_a_zip_is_refused_and_leaves_nothing(client: TestClient, lead: dict[str, str]) -> None:
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("recalls.csv", "\n".join(f'"{n}","a","b","c","d","e"' for n in range(2000)))
    half = whole.getvalue()[: len(whole.getvalue()) // 2]
    answer = _import(client, lead, "recall-communications", "recalls.zip", half)
    assert answer.status_code == 422
    assert error_of(answer)["code"] == "unreadable"
    assert client.get("/api/notes", headers=lead).json()["total"] == 0


def test_an_import_needs_a_known_format_a_file_and_a_lead(
    client: TestClient, lead: dict[str, str], tech: dict[str, str]
) -> None:
    refused(_import(client, lead, "spreadsheet", "x.csv", b"a\n"), "format")
    refused(client.post("/api/imports", headers=lead, data={"format": "notes"}), "file")
    assert _import(client, tech, "notes", "x.csv", b"kind,title\nlesson,A\n").status_code == 403


def test_a_role_that_is_not_known_is_kept_out_of_the_owners_report(
    client: TestClient, shop: RunningShop
) -> None:
    headers = headers_of(shop, "tech")
    with shop.writing(CONSOLE) as desk:
        user = desk.session.get(User, 3)
        assert user is not None
        user.role = "manager"
        from kb.desk.access import tokens

        token = tokens.new_token(desk, user.name)
    answer = client.get("/api/reports/reflashes", headers={"Authorization": f"Bearer {token}"})
    assert (answer.status_code, error_of(answer)["code"]) == (403, "not_allowed")
    assert client.get("/api/reports/reflashes", headers=headers).status_code == 403


@pytest.mark.parametrize("path", ["/api/notes/999", "/api/concerns/999", "/api/imports/999"])
def test_what_is_not_there_is_not_found(client: TestClient, lead: dict[str, str], path: str) -> None:
    answer = client.get(path, headers=lead)
    assert (answer.status_code, error_of(answer)["code"]) == (404, "not_found")


@pytest.mark.parametrize("number", ["0", "-1", "99999999999999999999", "one"])
def test_a_number_that_is_no_id_is_refused_before_the_database_sees_it(
    client: TestClient, lead: dict[str, str], number: str
) -> None:
    assert client.get(f"/api/notes/{number}", headers=lead).status_code == 422
