"""What worker processes are told of how the server was started."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from api import cli
from api.commands import workers


@pytest.mark.skipif(sys.platform == "win32", reason="nothing is divided there")
def test_what_workers_are_divided_from_is_told_all_that_the_command_line_asked_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """They read the environment as it is when that process starts, which is before anything else."""
    for name in ("DATABASE_URL", "HOST", "PORT", "HTTPS", "HTTPS_ONLY"):
        monkeypatch.setenv(f"BEFOREFLASH_{name}", "")
    monkeypatch.setenv("BEFOREFLASH_DATA", str(tmp_path))
    monkeypatch.setenv("BEFOREFLASH_WORKERS", "2")
    told: list[dict[str, str]] = []
    monkeypatch.setattr(workers, "_MEMORY", {})
    monkeypatch.setattr("multiprocessing.forkserver.set_forkserver_preload", lambda names: None)
    monkeypatch.setattr("multiprocessing.forkserver.ensure_running", lambda: told.append(os.environ.copy()))
    monkeypatch.setattr("api.commands.serving.serve", lambda process, asked: 0)
    asked = ["serve", "--host", "127.0.0.2", "--port", "8765", "--https", "--https-only"]
    assert cli.main(asked) == 0
    said = {"HOST": "127.0.0.2", "PORT": "8765", "HTTPS": "yes", "HTTPS_ONLY": "yes"}
    assert {name: told[0][f"BEFOREFLASH_{name}"] for name in said} == said
