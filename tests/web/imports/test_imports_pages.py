"""The pages of imports: a dead import is told from a working one, doubled columns are told apart."""

from __future__ import annotations

import pytest

from kb.desk.context import RunningShop
from kb.desk.imports import imports
from tests.conftest import StandingClock
from tests.kb.desk.imports.importing import FailsOnce, history, take
from tests.kb.intake.reading import FIXTURES
from tests.web.conftest import SignIn


def test_an_import_that_died_is_not_shown_as_one_that_runs(
    bay: RunningShop, signed_in: SignIn, clock: StandingClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patched:
        patched.setattr(imports, "count_batch", FailsOnce(imports.count_batch, 1))
        patched.setattr(imports, "stop_job", lambda *_: None)
        with pytest.raises(OSError, match="no space"):
            take(bay, "history", history({"ro_number": "900"}))
    lead = signed_in("lead")
    assert "data-watch" in lead.see("/imports/1").html
    assert "not moving" not in lead.see("/imports").text
    clock.move(minutes=6)
    page = lead.see("/imports/1")
    assert "data-watch" not in page.html
    assert "what was taken is not taken twice" in page.text
    assert "/imports" in page.links
    assert lead.client.get("/imports/1?part=state").json()["state"] == "not_moving"
    assert "not moving" in lead.see("/imports").text


def test_only_a_table_of_the_shop_s_own_is_brought_in_again_with_its_columns(
    bay: RunningShop, signed_in: SignIn, clock: StandingClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    recalls = (FIXTURES / "recalls_on_cars.csv").read_bytes()
    with monkeypatch.context() as patched:
        patched.setattr(imports, "count_batch", FailsOnce(imports.count_batch, 1))
        patched.setattr(imports, "stop_job", lambda *_: None)
        with pytest.raises(OSError, match="no space"):
            take(bay, "recall-communications", recalls)
    clock.move(minutes=6)
    page = signed_in("lead").see("/imports/1")
    assert "Bring the same file in again." in page.text
    assert "columns and days" not in page.text


def test_a_second_column_of_one_name_and_the_shop_s_words_are_shown_before_anything_comes_in(
    bay: RunningShop, signed_in: SignIn
) -> None:
    rows = (
        "RO,Concern,TSB,Date,Date,Result\n"
        "1,bucks,NV-24-101,2026-03-01,2026-03-02,Fixed\n"
        "2,bucks,NV-24-101,2026-03-01,2026-03-02,good\n"
        "3,bucks,NV-24-101,2026-03-01,2026-03-02,no\n"
        "4,bucks,NV-24-101,2026-03-01,2026-03-02,sort of\n"
    )
    lead = signed_in("lead")
    page = lead.send("/imports", "/imports", {"format": "history"}, file=("h.csv", rows.encode(), "text/csv"))
    assert "Date (2): another column of this name stands before it" in page.text
    assert "this one is left out" in page.text
    assert "\u201csort of\u201d is not understood: its rows are left out" in page.text
    form = page.form("/imports/waiting/1").fields
    chosen = {
        name.replace("column_", "read_as_"): names[0]
        for name, names in form.items()
        if name.startswith("column_")
    }
    date_2 = next(field for field, name in chosen.items() if name == "Date (2)")
    looked = lead.client.post("/imports/waiting/1", data=form | {"do": ["look"], date_2: ["reflashed_on"]})
    assert "this one is left out" not in looked.text
    assert "Mar 2" in looked.text


MESSY = (
    "RO,Concern,TSB,Flash date,Gone?,Last seen,{comeback},Tech pay\n"
    "1,bucks,NV-24-101,2026-03-02,yes,2026-08-01,yes,80\n"
    "2,bucks,NV-24-101,2026-03-02,yes,2026-08-01,no,90\n"
    "3,bucks,NV-24-101,2026-03-02,yes,2026-08-01,unknown,80\n"
)


def test_a_yes_no_comeback_is_read_and_a_column_left_out_is_named(
    bay: RunningShop, signed_in: SignIn
) -> None:
    def look(name: str) -> str:
        file = ("h.csv", MESSY.format(comeback=name).encode(), "text/csv")
        return signed_in("lead").send("/imports", "/imports", {"format": "history"}, file=file).text

    read = look("Comeback?")
    assert "“yes” is same concern came back" in read
    assert "“no” tells of no comeback" in read
    assert "day not known" in read
    assert "Column “Tech pay” is left out: 2 rows say “80”, 1 “90”." in read
    assert "count as cured" not in read
    lost = look("Customer returned or not")
    warning = "Column “Customer returned or not” is left out: 1 row says “yes”"
    assert lost.index(warning) < lost.index("What would come in")
    assert "1 problem" in lost


EXPORTED = (
    "Bright Street Garage\nAll orders\n\nRO;Date in;Concern;TSB;Flash date;Fixed?\n"
    "1;3/4/2026;bucks;R&R starter;;\n2;3/14/2026;bucks;NV-24-101;3/15/2026;yes - 3/15/2026\n"
    "3;soon;bucks;;;\nTotal;3;;;;\n"
)


def test_an_exported_table_is_looked_at_changed_brought_in_and_its_bad_rows_fetched(
    bay: RunningShop, signed_in: SignIn
) -> None:
    lead = signed_in("lead")
    file = ("old.csv", EXPORTED.encode("cp1252"), "text/csv")
    page = lead.send("/imports", "/imports", {"format": "history"}, file=file)
    for said in (
        "Found in line 4",
        "Found: semicolon",
        "Read as: 3/31/2026",
        "“R&R starter” 1 row",
        "2 new ones",
    ):
        assert said in page.text, said
    assert "Taken for a total, heading or remark, not for a row: “Total · 3”." in page.text
    form = page.form("/imports/waiting/1").fields
    fields = {
        name.replace("column_", "read_as_"): names[0] for name, names in form.items() if "column_" in name
    }
    dates = {field: [""] for field, name in fields.items() if name in ("Date in", "Flash date")}
    without = lead.client.post("/imports/waiting/1", data=form | dates | {"do": ["look"]}).text
    assert "Read as: 2026-03-31" in without, "no column is a day, and none tells an order"
    again = lead.client.post("/imports/waiting/1", data=form | {"do": ["look"], "take_texts": ["yes"]}).text
    assert "Read as: 3/31/2026" in again, "guessed again once columns are days"
    wrong = lead.client.post("/imports/waiting/1", data=form | {"do": ["look"], "header_line": ["90"]}).text
    assert "Line 90 cannot be read as the names of the columns" in wrong
    job = lead.send("/imports/waiting/1", "/imports/waiting/1", {"do": "bring_in"})
    assert "2 new" in job.text
    assert "“Date in”" in job.text
    left = lead.client.get("/imports/1/left-out.csv")
    assert left.headers["content-type"] == "text/csv; charset=utf-8"
    assert "line 7: Date in:" in left.text
    assert signed_in("tech").client.get("/imports/1/left-out.csv").status_code == 403
