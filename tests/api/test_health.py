"""Whether the server is told to be well, and not, by what stands behind it; and what `doctor` says to do."""

from __future__ import annotations

import json
import shutil
import socket
from collections import namedtuple
from contextlib import ExitStack
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from anyio.to_thread import current_default_thread_limiter
from sqlalchemy import QueuePool, text
from starlette.testclient import TestClient

from api import cli, health
from api.service import systemd
from kb.desk.context import CONSOLE, RunningShop
from kb.desk.shop import health as desk_health
from kb.records import write_probe
from tests.applications import pages_over
from tests.conftest import StandingClock

Usage = namedtuple("Usage", "total used free")


def ready(shop: RunningShop) -> tuple[int, dict[str, Any]]:
    """A look of its own: each application remembers one for a few seconds."""
    with TestClient(pages_over(shop), raise_server_exceptions=False) as client:
        answer = client.get("/readyz")
    assert answer.headers["cache-control"] == "no-store"
    return answer.status_code, answer.json()


@pytest.mark.both_databases
def test_a_shop_that_works_is_ready_and_the_look_leaves_nothing(shop: RunningShop) -> None:
    with shop.reading(CONSOLE) as desk:
        before = desk.session.execute(text("SELECT topic, number FROM revision ORDER BY topic")).all()
    assert ready(shop) == (200, {"program": "beforeflash", "ready": True, "reasons": [], "warnings": []})
    with shop.reading(CONSOLE) as desk:
        after = desk.session.execute(text("SELECT topic, number FROM revision ORDER BY topic")).all()
    assert after == before
    if shop.records.is_sqlite:
        folder = Path(shop.records.engine.url.database or "").parent
        assert not list(folder.glob(".beforeflash-probe*"))


@pytest.mark.both_databases
def test_somebody_who_writes_is_no_reason_and_alive_asks_no_database(shop: RunningShop) -> None:
    with shop.records.writing():
        assert ready(shop)[0] == 200
    shop.records.engine.dispose()
    with TestClient(pages_over(shop)) as client:
        assert client.get("/healthz").json() == {"program": "beforeflash", "alive": True}


def test_each_trouble_is_a_reason_in_words_without_anybodys_data(
    sqlite_shop: RunningShop, clock: StandingClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(desk_health.shutil, "disk_usage", lambda _: Usage(10**12, 10**12, 40_000_000))
    status, said = ready(sqlite_shop)
    assert (status, said["ready"], said["reasons"]) == (503, False, ["The disk is nearly full."])
    monkeypatch.undo()
    clock.move(days=4)
    status, said = ready(sqlite_shop)
    assert (status, said["warnings"]) == (200, ["The last backup is too old, or it failed."])
    with sqlite_shop.records.writing() as session:
        session.execute(text("UPDATE alembic_version SET version_num = '0036'"))
    status, said = ready(sqlite_shop)
    assert (status, said["reasons"]) == (503, ["The tables are those of another version."])
    monkeypatch.setattr(write_probe, "_TOUCH", "UPDATE nowhere SET number = 1")
    assert "The shop's data cannot be written." in ready(sqlite_shop)[1]["reasons"]
    sqlite_shop.records.engine.dispose()
    file = Path(sqlite_shop.records.engine.url.database or "")
    shutil.rmtree(file.parent)
    status, said = ready(sqlite_shop)
    assert status == 503
    assert str(file.parent) not in json.dumps(said)
    file.parent.mkdir()


def test_anybody_may_ask_and_the_look_is_taken_seldom(
    sqlite_shop: RunningShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    looks: list[RunningShop] = []
    monkeypatch.setattr(health, "look_over", lambda shop: looks.append(shop) or ())
    with TestClient(pages_over(sqlite_shop)) as client:
        assert [client.get("/readyz").status_code for _ in range(5)] == [200] * 5
    assert len(looks) == 1


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Path:
    with socket.create_server(("127.0.0.1", 0)) as probe:
        monkeypatch.setenv("BEFOREFLASH_PORT", str(probe.getsockname()[1]))
    monkeypatch.setenv("BEFOREFLASH_DATA", str(tmp_path))
    monkeypatch.delenv("BEFOREFLASH_DATABASE_URL", raising=False)
    monkeypatch.setattr(systemd, "UNIT", tmp_path / "beforeflash.service")
    return tmp_path


def test_doctor_finds_a_sound_shop_fine_and_changes_nothing(
    folder: Path, sqlite_template: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["doctor"]) == 1
    assert "Start one with `beforeflash serve`" in capsys.readouterr().out
    shop = RunningShop.open(f"sqlite:///{folder / 'shop.db'}")
    assert cli.main(["backup", str(folder / "copy.db")]) == 0
    before = {file.name: file.read_bytes() for file in folder.glob("*.db")}
    capsys.readouterr()
    assert cli.main(["doctor", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert {one["gravity"] for one in found} == {"fine"}
    about = [one["about"] for one in found]
    wanted = {
        "data folder",
        "disk",
        "sqlite",
        "database",
        "backup",
        "index",
        "port",
        "reach",
        "clock",
        "trail",
    }
    assert wanted <= set(about)
    assert {file.name: file.read_bytes() for file in folder.glob("*.db")} == before
    shop.close()


def test_doctor_says_what_is_bad_and_what_to_do(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = RunningShop.open(f"sqlite:///{folder / 'shop.db'}")
    shop.clock = lambda: RunningShop.open.__globals__["utc_now"]() + timedelta(days=2)
    with shop.writing(CONSOLE) as desk:
        desk.note_down("wrote", "note", 1)
    with shop.records.writing() as session:
        session.execute(text("DROP TRIGGER trail_keeps_DELETE"))
        session.execute(text("DELETE FROM trail"))
        session.execute(text("UPDATE trail_head SET rows = 9"))
    shop.close()
    (folder / "backups").mkdir()
    (folder / "backups" / "shop-20260101-000000-by-hand.db").write_bytes(b"x")
    with socket.create_server(("127.0.0.1", 0)) as other:
        assert cli.main(["doctor", "--port", str(other.getsockname()[1])]) == 2
    said = capsys.readouterr().out
    for words in ("by another program", "days old", "shop-20260101", "9 lines are missing", "things are bad"):
        assert words in said


def test_doctor_says_where_an_upgrade_left_the_file_of_the_service_behind(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Whatever a shop set in it for itself is no difference, nor is what it put there beside."""
    assert cli.main(["service", "systemd", "--https"]) == 0
    printed = capsys.readouterr().out

    def said_of(unit: str) -> dict[str, Any] | None:
        (folder / "beforeflash.service").write_text(unit, "utf-8")
        cli.main(["doctor", "--json"])
        found = json.loads(capsys.readouterr().out)
        return next((one for one in found if one["about"] == "service"), None)

    own = printed.replace("=0.0.0.0", "=127.0.0.1").replace("[Install]", "MemoryMax=2G\n\n[Install]")
    own = own.replace("ExecStart=", "ExecStart=/opt/beforeflash/.venv/bin/beforeflash serve #")
    for sound in (printed, own):
        found = said_of(sound)
        assert found is not None
        assert found["gravity"] == "fine"
    older = own.replace("NoNewPrivileges=yes\n", "").replace("TimeoutStopSec=20", "TimeoutStopSec=5")
    found = said_of(older)
    assert found is not None
    assert (found["gravity"], "lacks 2 of" in found["says"]) == ("watch", True)
    assert "TimeoutStopSec=20" in found["says"]
    assert f"service systemd | diff {folder / 'beforeflash.service'} -` shows" in found["to_do"]
    (folder / "beforeflash.service").unlink()
    cli.main(["doctor", "--json"])
    assert "service" not in {one["about"] for one in json.loads(capsys.readouterr().out)}


def test_requests_wait_for_a_thread_and_never_for_a_connection(sqlite_shop: RunningShop) -> None:
    """A pool refuses who waits half a minute; threads are given in the order that people came."""
    with TestClient(pages_over(sqlite_shop)) as client:
        assert client.portal is not None
        at_once = client.portal.call(lambda: current_default_thread_limiter().total_tokens)
    pool = sqlite_shop.records.engine.pool
    assert isinstance(pool, QueuePool)
    with ExitStack() as held:
        for _ in range(int(at_once) + 1):  # and one for work that no request waits for
            held.enter_context(sqlite_shop.records.engine.connect())
        assert pool.checkedout() == at_once + 1
