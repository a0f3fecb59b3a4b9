from __future__ import annotations

import os
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

import pytest

import demo_data.load
from api import cli
from kb.desk import people
from kb.desk.context import RunningShop
from kb.errors import NotAllowed


@dataclass
class Started:
    """What the demo did instead of filling a shop and serving it."""

    loaded: list[tuple[bool, date]] = field(default_factory=list)
    served: list[dict[str, Any]] = field(default_factory=list)


@pytest.fixture
def started(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Started:
    for name in ("HOST", "PORT", "WORKERS"):
        monkeypatch.delenv(f"BEFOREFLASH_{name}", raising=False)
    monkeypatch.setenv("BEFOREFLASH_DATA", str(tmp_path))
    monkeypatch.setenv("BEFOREFLASH_DATABASE_URL", f"sqlite:///{tmp_path}/real.db")
    seen = Started()
    monkeypatch.setattr(
        demo_data.load, "load", lambda shop, today: seen.loaded.append((shop.facts.is_demo, today))
    )

    def serve(app: str, **how: Any) -> None:
        seen.served.append({"app": app, "url": os.environ["BEFOREFLASH_DATABASE_URL"], **how})

    monkeypatch.setattr("uvicorn.run", serve)
    monkeypatch.setattr("api.commands.serving.refuse_bad_address", lambda process: None)
    return seen


def test_the_demo_never_touches_the_shops_database_and_is_new_at_every_start(
    started: Started, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["demo", "--port", "8777"]) == 0
    demo = RunningShop.open(f"sqlite:///{tmp_path}/demo.db")
    with demo.writing() as desk:
        cookie = people.sign_in_demo(desk, "lead").cookie
    demo.close()
    assert cli.main(["demo"]) == 0
    demo = RunningShop.open(f"sqlite:///{tmp_path}/demo.db")
    with demo.reading() as desk:
        assert people.who_holds_cookie(desk, cookie) is None
    demo.close()
    assert [is_demo for is_demo, _ in started.loaded] == [True, True]
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
    with demo.writing() as desk:
        assert people.sign_in(desk, "owner", printed["owner"]).actor.role == "owner"
        with pytest.raises(NotAllowed):
            people.sign_in_demo(desk, "owner")
    demo.close()
