from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path
from typing import Any

import httpx
import pytest

from api import cli
from api.commands import demo as demo_command
from demo_data import fill
from kb.desk.access import sessions, sign_ins
from kb.desk.context import RunningShop
from kb.errors import NotAllowed
from tests import patience
from tests.api.conftest import STARTS_WITHIN, STOPS_WITHIN, environment_of, free_port

FILLS_NOTHING = (sys.executable, "-c", "import sys; sys.stdin.readline()")


@dataclass
class Started:
    """What the demo did instead of filling a shop and serving it; a test may serve in its own way."""

    served: list[dict[str, Any]] = field(default_factory=list)
    meanwhile: Callable[[], object] = lambda: None


@pytest.fixture
def started(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Started:
    for name in ("HOST", "PORT", "WORKERS", "HTTPS"):
        monkeypatch.setenv(f"BEFOREFLASH_{name}", "")  # a start tells its workers by them
    monkeypatch.setenv("BEFOREFLASH_DATA", str(tmp_path))
    monkeypatch.setenv("BEFOREFLASH_DATABASE_URL", f"sqlite:///{tmp_path}/real.db")
    seen = Started()

    def serve(app: str, **how: Any) -> None:
        seen.served.append({"app": app, "url": os.environ["BEFOREFLASH_DATABASE_URL"], **how})
        seen.meanwhile()

    monkeypatch.setattr("uvicorn.run", serve)
    import_module("api.commands.serving")  # else it would keep what stands in for this
    monkeypatch.setattr("api.commands.listening.refuse_bad_address", lambda process: None)
    monkeypatch.setattr(demo_command, "_FILL", FILLS_NOTHING)
    return seen


def test_the_demo_never_touches_the_shops_database_and_is_new_at_every_start(
    started: Started, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["demo", "--port", "8777"]) == 0
    demo = RunningShop.open(f"sqlite:///{tmp_path}/demo.db")
    with demo.writing() as desk:
        cookie = sign_ins.sign_in_demo(desk, "lead").cookie
    demo.close()
    monkeypatch.setenv("BEFOREFLASH_PORT", "")
    assert cli.main(["demo"]) == 0
    demo = RunningShop.open(f"sqlite:///{tmp_path}/demo.db")
    with demo.reading() as desk:
        assert sessions.who_holds_cookie(desk, cookie) is None
    demo.close()
    assert not (tmp_path / "real.db").exists()
    assert not (tmp_path / "shop.db").exists()
    assert [one["url"] for one in started.served] == [f"sqlite:///{tmp_path}/demo.db"] * 2
    assert [one["port"] for one in started.served] == [8777, 8000]
    assert {one["host"] for one in started.served} == {"127.0.0.1"}
    assert "password" not in capsys.readouterr().out


def test_on_a_network_the_demo_prints_passwords_and_one_click_is_off(
    started: Started, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["demo", "--host", "0.0.0.0"]) == 0  # noqa: S104  # what the test is about
    lines = [line for line in capsys.readouterr().out.splitlines() if "with the password" in line]
    printed = {line.split()[3]: line.split()[-1] for line in lines}
    assert set(printed) == {"tech", "lead", "owner"}
    assert len(set(printed.values())) == 3
    demo = RunningShop.open(f"sqlite:///{tmp_path}/demo.db")
    assert sign_ins.sign_in(demo, "owner", printed["owner"]).actor.role == "owner"
    with demo.writing() as desk, pytest.raises(NotAllowed):
        sign_ins.sign_in_demo(desk, "owner")
    demo.close()


def serve_in_short_turns() -> None:
    """As a server's loop does: a signal that a thread raises interrupts nobody who sleeps."""
    give_up = time.monotonic() + STARTS_WITHIN
    while time.monotonic() < give_up:
        time.sleep(0.05)


def test_a_failure_to_fill_stops_the_pages_and_ends_the_command_with_1(
    started: Started, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        demo_command, "_FILL", (sys.executable, "-c", "import sys; sys.stdin.readline(); sys.exit(1)")
    )
    started.meanwhile = serve_in_short_turns
    before = signal.getsignal(signal.SIGTERM)
    with pytest.raises(SystemExit) as ended:
        cli.main(["demo"])
    assert ended.value.code == 1
    assert signal.getsignal(signal.SIGTERM) is before


def test_what_fills_the_demo_says_why_it_cannot(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "demo.db").write_text("no database")
    assert fill.main(f"sqlite:///{tmp_path}/demo.db 2026-11-26\n") == 1
    assert "the demo could not be filled: " in capsys.readouterr().err


@pytest.fixture
def filling(tmp_path: Path) -> Iterator[tuple[str, subprocess.Popen[bytes]]]:
    """A demo as it is started by its command, and where its pages are."""
    port = free_port()
    command = [sys.executable, "-m", "api.cli", "demo", "--port", str(port)]
    process = subprocess.Popen(command, env=environment_of(tmp_path))
    yield f"http://127.0.0.1:{port}", process
    if process.poll() is None:
        process.kill()
    process.wait()


def test_while_it_fills_pages_say_how_far_it_is_and_sign_in_works(
    filling: tuple[str, subprocess.Popen[bytes]],
) -> None:
    url, process = filling
    with httpx.Client(base_url=url, follow_redirects=True, timeout=patience.LONG) as browser:
        page = _first_page(browser)
        assert re.search(r"The demo is being filled: \d+% of its two years are in", page)
        token = re.search(r'name="form_token" value="([^"]+)"', page)
        assert token
        signed_in = _signed_in(browser, {"form_token": token[1], "name": "tech"})
        assert signed_in.status_code == 200
        assert signed_in.url.path == "/concerns"
        assert "The demo is being filled" in signed_in.text
        refused = browser.get("/api/concerns")
        assert refused.status_code == 503
        assert refused.json()["error"]["code"] == "not_ready"
    process.send_signal(signal.SIGTERM)
    assert process.wait(patience.here(STOPS_WITHIN)) != 0


def _signed_in(browser: httpx.Client, form: dict[str, str]) -> httpx.Response:
    """Where a part takes long to fill, the shop is busy for that time and asks to be asked again."""
    give_up = time.monotonic() + patience.here(STARTS_WITHIN)
    answer = browser.post("/sign-in/demo", data=form)
    while answer.status_code == 503 and time.monotonic() < give_up:
        time.sleep(0.1)
        answer = browser.post("/sign-in/demo", data=form)
    return answer


def _first_page(browser: httpx.Client) -> str:
    give_up = time.monotonic() + patience.here(STARTS_WITHIN)
    while time.monotonic() < give_up:
        try:
            return browser.get("/").text
        except httpx.TransportError:
            time.sleep(0.1)
    raise AssertionError("the demo did not answer")
