"""What to keep of a file of the government, told by a program and by the command line."""

from __future__ import annotations

from pathlib import Path

import pytest
from starlette.testclient import TestClient

from api.cli import main
from kb.desk.context import RunningShop
from tests.factories import headers_of
from tests.kb.intake.reading import FIXTURES

ROWS = (FIXTURES / "recalls_on_cars.csv").read_bytes()


def test_makes_are_kept_and_the_rest_is_counted(client: TestClient, sqlite_shop: RunningShop) -> None:
    lead = headers_of(sqlite_shop, "lead")

    def take(options: str, expect: int = 201) -> dict[str, object]:
        answer = client.post(
            "/api/imports",
            headers=lead,
            data={"format": "recall-communications", "options": options, "dry_run": "true"},
            files={"file": ("recalls.csv", ROWS)},
        )
        assert answer.status_code == expect, answer.text
        told: dict[str, object] = answer.json()
        return told

    whole = take("")
    kept = take('{"makes": ["kia"]}')
    assert isinstance(kept["created"], int)
    assert 0 < kept["created"] < int(str(whole["created"]))
    left = [one for one in kept["not_wanted"] if one["why"] == "other_makes"]  # type: ignore[attr-defined]
    assert left == [{"why": "other_makes", "notes": int(str(whole["created"])) - kept["created"]}]
    for wrong in ("[]", '{"colors": ["red"]}', '{"also": ["boats"]}'):
        assert "no such JSON object" in str(take(wrong, 422)["error"])


def test_the_command_line_keeps_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("BEFOREFLASH_DATA", str(tmp_path / "shop"))
    monkeypatch.delenv("BEFOREFLASH_DATABASE_URL", raising=False)
    file = str(FIXTURES / "recalls_on_cars.csv")
    assert main(["import", "recall-communications", file, "--make", "Kia", "--software-only"]) == 0
    said = capsys.readouterr().out
    assert "of other makes" in said
    with pytest.raises(SystemExit):
        main(["import", "recall-communications", file, "--also", "boats"])
