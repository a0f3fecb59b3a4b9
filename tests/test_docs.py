"""What the two documents promise is so: commands, variables, paths and links."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from api import cli

ROOT = Path(__file__).parents[1]
DOCUMENTS = ("README.md", "DEVELOPERS.md")
COMMANDS = set(
    "demo serve import export backup restore user token trail doctor service packages completion".split()  # noqa: SIM905
)


@pytest.fixture(params=DOCUMENTS)
def document(request: pytest.FixtureRequest) -> str:
    return (ROOT / str(request.param)).read_text("utf-8")


def test_every_path_named_in_a_document_exists(document: str) -> None:
    named = re.findall(r"`((?:api|kb|web|tests|demo_data)/[\w./-]*)`", document)
    assert [path for path in named if not (ROOT / path).exists()] == []


def test_every_link_within_the_project_leads_somewhere(document: str) -> None:
    links = re.findall(r"\]\((?!https?:|mailto:|#)([^)#\s]+)", document)
    assert [link for link in links if not (ROOT / link).exists()] == []


def test_every_variable_of_the_environment_is_documented_and_no_other() -> None:
    read = set(re.findall(r"BEFOREFLASH_[A-Z_]+", (ROOT / "api" / "settings.py").read_text("utf-8")))
    said = set(
        re.findall(r"BEFOREFLASH_[A-Z_]+", "".join((ROOT / name).read_text("utf-8") for name in DOCUMENTS))
    )
    assert read
    assert said == read


def test_the_readme_names_every_command_and_the_command_line_has_no_other(
    capsys: pytest.CaptureFixture[str],
) -> None:
    readme = (ROOT / "README.md").read_text("utf-8")
    assert [name for name in sorted(COMMANDS) if f"beforeflash {name}" not in readme] == []
    with pytest.raises(SystemExit):
        cli.main(["--help"])
    offered = set(re.findall(r"^ {4}(\w+)(?: {2,}|$)", capsys.readouterr().out, re.MULTILINE))
    assert offered == COMMANDS
