"""A program made from the description alone, as others make theirs, does a technician's job."""

from __future__ import annotations

import importlib
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from api.description.examples import EXAMPLES
from tests.api.conftest import StartServer

PACKAGE = "client_made_of_the_description"


Made = Callable[[str], Any]


@pytest.fixture
def made(
    sqlite_client: TestClient, as_tech: dict[str, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Made]:
    """Modules of a client made of the description by a generator that goes on after no warning."""
    description, options = tmp_path / "openapi.json", tmp_path / "options.yaml"
    description.write_text(sqlite_client.get("/api/openapi.json", headers=as_tech).text, "utf-8")
    options.write_text(
        "post_hooks: []\n"  # what it makes is not formatted
        "content_type_overrides: {image/jpeg: application/octet-stream}\n",  # to it a photo is bytes
        "utf-8",
    )
    asked = ["--path", description, "--config", options, "--output-path", tmp_path / PACKAGE]
    command = [sys.executable, "-m", "openapi_python_client", "generate", "--meta", "none"]
    subprocess.run([*command, "--fail-on-warning", *asked], check=True)
    monkeypatch.syspath_prepend(tmp_path)
    yield lambda name: importlib.import_module(f"{PACKAGE}.{name}")
    for name in [one for one in sys.modules if one.startswith(PACKAGE)]:
        del sys.modules[name]


def test_it_writes_a_note_opens_a_concern_and_reads_its_advice(made: Made, start_server: StartServer) -> None:
    server, models, client = start_server(), made("models"), made("client")

    def signed_in(name: str) -> Any:
        token = server.token(name)["Authorization"].removeprefix("Bearer ")
        return client.AuthenticatedClient(base_url=server.url, token=token)

    with signed_in("lead") as lead:
        note = models.NoteBody.from_dict(EXAMPLES["write_note"])
        written = made("api.notes.write_note").sync(client=lead, body=note)
        read = made("api.notes.read_note").sync(written.id, client=lead)
        assert (read.steps[0].new_id, read.steps[0].old_ids) == ("0447D", ["0447A", "0447B"])
        assert read.code_kinds["P0171"] == models.CodeKind.MAY_BE_STORED
    with signed_in("tech") as tech:
        complaint = models.ConcernBody.from_dict(EXAMPLES["open_concern"])
        opened = made("api.concerns.open_concern").sync(client=tech, body=complaint)
        assert opened.ref == "RO 2087-A"
        advice = made("api.advice.give_advice").sync(opened.id, client=tech)
        assert advice.verdict == models.Verdict.CHECK_FIRST
        [candidate] = advice.candidates
        assert (candidate.number, candidate.note) == ("Vell-22", written.id)
        assert 0 < candidate.chance < 1
        assert candidate.evidence[0].key == "start"
        refused = made("api.concerns.read_concern").sync(opened.id + 1, client=tech)
        assert (type(refused), refused.error.code) == (models.ErrorOut, "not_found")
