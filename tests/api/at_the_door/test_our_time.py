"""Days and model years are of 1886 to next year wherever they are written; the refusal says so."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest
from starlette.testclient import TestClient

from kb.errors import BadInput
from kb.intake.government import recall_communications
from kb.intake.history import history
from kb.intake.rows import ReadOptions, RowError
from kb.nouns.model_years import check_day
from tests.api.test_bad_input import refused
from tests.kb.desk.imports.importing import history as history_file
from web.forms import TypedForm
from web.query_values import day_asked

THIS_YEAR = 2026


@pytest.mark.parametrize(("year", "ahead", "may"), [(1885, 0, 0), (1886, 0, 1), (2027, 0, 1), (2028, 0, 0)])
def test_a_year_may_be_from_the_first_motor_car_to_next_year(year: int, ahead: bool, may: bool) -> None:
    day = date(year, 12, 31)
    if may:
        assert check_day(day, THIS_YEAR, "on") == day
    else:
        with pytest.raises(BadInput, match="1886 to 2027"):
            check_day(day, THIS_YEAR, "on")
    assert check_day(date(2036, 1, 1), THIS_YEAR, "ends_on", ahead=True)
    with pytest.raises(BadInput, match="1886 to 2036"):
        check_day(date(2037, 1, 1), THIS_YEAR, "ends_on", ahead=True)


@pytest.mark.parametrize(
    "said", ["1885-12-31", "2199-01-01", "0001-01-01", "9999-12-31", 0, 1e9, True, "0", "20261031"]
)
def test_the_interface_takes_no_other_day_nor_a_number_for_one(
    sqlite_client: TestClient, as_owner: dict[str, str], said: Any
) -> None:
    ask = sqlite_client.post
    concern = {"ro_number": "31", "complaint": "bucks", "make": "Tarn", "built_on": said}
    refused(ask("/api/concerns", json=concern, headers=as_owner), "built_on")
    body = {"make": "Tarn", "kind": "programming", "price": 5, "bought_on": "2026-10-01", "ends_on": said}
    refused(ask("/api/subscriptions", json=body, headers=as_owner), "ends_on")
    for path, name in (("/api/reports/reflashes", "from"), ("/api/follow-ups", "due")):
        refused(sqlite_client.get(path, params={name: str(said)}, headers=as_owner), name)


def test_pages_say_the_years_that_there_may_be() -> None:
    newest = datetime.now(UTC).year + 1
    for wrong in ("1885-12-31", f"{newest + 1}-01-01"):
        with pytest.raises(BadInput, match=f"1886 to {newest}"):
            TypedForm({"on": (wrong,)}).day("on")
        with pytest.raises(BadInput, match=f"1886 to {newest}"):
            day_asked(wrong, "from")
    assert TypedForm({"on": (f"{newest + 2}-01-01",)}).day("on", ahead=True)


def test_rows_of_a_file_that_name_another_year_are_left_out_with_the_reason() -> None:
    options = ReadOptions(date(THIS_YEAR, 10, 31))
    for column in ("opened_on", "reflashed_on", "last_seen_on"):
        found = list(history.read(history_file({column: "2206-03-02"}), options))
        assert [
            one.field for one in found if isinstance(one, RowError) and "1886 to 2027" in one.message
        ] == [column]
    lines = [",".join(recall_communications.HEADER)]
    lines += [f'"1234567","a letter","Tarn","Vell","{year}","stalls"' for year in (1885, 2028, 2027, 9999)]
    read = list(recall_communications.read("\n".join(lines).encode(), options))
    assert ["1886 to 2027" in one.message for one in read if isinstance(one, RowError)] == [True, True]
