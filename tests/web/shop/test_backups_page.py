"""The owner's page of backups, without JavaScript, and the line that warns whoever answers for the shop."""

from __future__ import annotations

import hashlib
import json
import socket
from pathlib import Path

import pytest

from api import cli
from kb.desk.context import RunningShop
from kb.desk.shop import backups
from tests.conftest import StandingClock
from tests.web.browsing import Visitor
from tests.web.conftest import SignIn


def test_the_owner_backs_up_now_saves_the_copy_elsewhere_and_puts_it_back_there(
    signed_in: SignIn, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    owner = signed_in("owner")
    assert "None yet" in owner.see("/shop/backups").text
    page = owner.send("/shop/backups", "/shop/backups")
    assert "copied and read back" in page.text
    assert "by hand" in page.text
    links = [link for link in page.links if link.startswith("/shop/backups/")]
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    for link in links:
        owner.see(link)
        assert owner.answer is not None
        assert owner.answer.headers["cache-control"] == "no-store"
        (elsewhere / link.rpartition("/")[2]).write_bytes(owner.answer.content)
    [copy, sheet] = sorted(elsewhere.iterdir())
    assert json.loads(sheet.read_text())["sha256"] == hashlib.sha256(copy.read_bytes()).hexdigest()
    monkeypatch.delenv("BEFOREFLASH_DATABASE_URL", raising=False)
    monkeypatch.setenv("BEFOREFLASH_DATA", str(tmp_path / "another computer"))
    assert cli.main(["restore", str(copy)]) == 0
    with owner.shop.reading() as desk:
        said = desk.session.connection().exec_driver_sql("SELECT action FROM trail WHERE noun = 'backup'")
        assert [action for (action,) in said] == ["made", "fetched", "fetched"]


@pytest.mark.parametrize("name", ["tech", "lead"])
def test_only_the_owner_sees_or_takes_a_copy(sqlite_shop: RunningShop, signed_in: SignIn, name: str) -> None:
    made = backups.back_up_nightly(sqlite_shop)
    visitor = signed_in(name)
    assert "/shop/backups" not in visitor.see("/shop").links
    for path in ("/shop/backups", f"/shop/backups/{made}", f"/shop/backups/{made}.check"):
        visitor.see(path, 403)


@pytest.mark.parametrize("name", ["shop.db", "last-attempt.json", "..%2Fshop.db", "backups.lock"])
def test_nothing_but_a_backup_is_handed_out(sqlite_shop: RunningShop, signed_in: SignIn, name: str) -> None:
    backups.back_up_nightly(sqlite_shop)
    signed_in("owner").see(f"/shop/backups/{name}", 404)


def test_a_damaged_copy_is_named_on_the_page(sqlite_shop: RunningShop, signed_in: SignIn) -> None:
    folder = Path(sqlite_shop.records.engine.url.database or "").parent
    file = folder / "backups" / backups.back_up_nightly(sqlite_shop)
    file.write_bytes(file.read_bytes()[:-1])
    assert "not as long as its check sheet says" in signed_in("owner").see("/shop/backups").text
    file.with_name(f"{file.name}.check").unlink()
    assert "check sheet is missing" in signed_in("owner").see("/shop/backups").text


def test_the_lead_and_the_owner_are_warned_on_every_page_and_the_technician_is_not(
    sqlite_shop: RunningShop, signed_in: SignIn, clock: StandingClock
) -> None:
    backups.back_up_nightly(sqlite_shop)
    clock.move(days=4)
    sentence = "The newest backup of this shop is 4 days old."
    assert sentence not in signed_in("tech").see("/concerns").text
    assert f"{sentence} Tell the owner." in signed_in("lead").see("/notes").text
    owner = signed_in("owner")
    assert "/shop/backups" in owner.see("/concerns").links
    assert sentence not in owner.send("/shop/backups", "/shop/backups").text


def test_on_postgresql_the_owner_backs_up_now_and_reads_where_the_newest_lies(
    postgres_shop: RunningShop, tmp_path: Path
) -> None:
    one, other = (
        RunningShop(postgres_shop.records, postgres_shop.facts, postgres_shop.clock, tmp_path / name)
        for name in ("one", "other")
    )
    owner = Visitor(one).sign_in("owner")
    page = owner.send("/shop/backups", "/shop/backups")
    assert "copied and read back" in page.text
    [copy, sheet] = [link for link in page.links if link.startswith("/shop/backups/")]
    owner.see(copy)
    assert owner.answer is not None
    said = json.loads((tmp_path / "one" / "backups" / sheet.rpartition("/")[2]).read_text())
    assert hashlib.sha256(owner.answer.content).hexdigest() == said["sha256"]
    elsewhere = Visitor(other).sign_in("owner").see("/shop/backups").text
    assert f"lies on another computer: {socket.gethostname()}, {tmp_path / 'one' / 'backups'}." in elsewhere


def test_the_demo_has_nothing_to_back_up(tmp_path: Path, clock: StandingClock) -> None:
    demo = RunningShop.open(f"sqlite:///{tmp_path}/demo.db", clock=clock, is_demo=True)
    page = Visitor(demo).sign_in("owner").see("/shop/backups")
    assert "rebuilt at every start" in page.text
    assert [form.action for form in page.forms if "backups" in form.action] == []
    demo.close()
