"""What the command line says to programs, shells and computers: JSON, completion, files that start it."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from api import cli
from api.service import Installed, container, systemd, windows
from api.settings import from_environment
from kb.desk.context import RunningShop

BASH = shutil.which("bash")
ANALYZE = shutil.which("systemd-analyze")
TASKS = "{http://schemas.microsoft.com/windows/2004/02/mit/task}"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.delenv("BEFOREFLASH_DATABASE_URL", raising=False)
    monkeypatch.setenv("BEFOREFLASH_DATA", str(tmp_path / "data"))
    (tmp_path / "lessons.csv").write_text("kind,title\nlesson,Check the ground first\nlesson,\n", "utf-8")
    return tmp_path


def test_every_command_that_a_script_reads_answers_in_json(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def said(*typed: str) -> object:
        assert cli.main([*typed, "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    taken = said("import", "notes", str(folder / "lessons.csv"))
    assert (taken["created"], taken["errors"][0]["line"], taken["state"]) == (1, 3, "done")  # type: ignore[index]
    assert cli.main(["token", "owner"]) == 0
    capsys.readouterr()
    people = said("user", "list")["people"]  # type: ignore[index]
    assert [(one["name"], one["role"]) for one in people] == [("owner", "owner")]
    copied = said("backup", str(folder / "copy.db"))
    assert copied["holds"]["tables"]["note"] == 1  # type: ignore[index]
    assert Path(copied["check"]).is_file()  # type: ignore[index]
    back = said("restore", str(folder / "copy.db"))
    assert back["checked"] is True  # type: ignore[index]
    assert Path(back["kept"]).is_file()  # type: ignore[index]
    assert "whole" in back["trail"]  # type: ignore[index]
    assert [one["action"] for one in said("trail")][-1] == "began"  # type: ignore[attr-defined]


def test_how_far_it_is_stands_on_a_terminal_alone(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert cli.main(["import", "notes", str(folder / "lessons.csv")]) == 0
    assert "Reading" not in capsys.readouterr().err
    assert cli.main(["backup", str(folder / "copy.db")]) == 0
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    (folder / "more.csv").write_text("kind,title\nlesson,Look at the fuse too\n", "utf-8")
    assert cli.main(["import", "notes", str(folder / "more.csv")]) == 0
    assert "Reading more.csv" in capsys.readouterr().err
    assert cli.main(["restore", str(folder / "copy.db")]) == 0
    assert "checking what will be the shop" in capsys.readouterr().err


def test_the_version_says_what_it_runs_on(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit, match="0"):
        cli.main(["--version"])
    assert re.fullmatch(
        r"beforeflash \S+ \(Python 3\.\d+\.\d+, SQLite 3\.\d+\.\d+\)\n", capsys.readouterr().out
    )


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish", "powershell"])
def test_each_shell_is_told_every_command_and_option(shell: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["completion", shell]) == 0
    said = capsys.readouterr().out
    for word in (
        "serve",
        "restore",
        "port",
        "recall-communications" if shell == "never" else "dry-run",
        "disable",
    ):
        assert word in said
    if shell == "bash" and BASH:
        asked = "COMP_WORDS=(beforeflash user d); COMP_CWORD=2; _beforeflash; echo ${COMPREPLY[@]}"
        told = subprocess.run([BASH, "-c", f"{said}\n{asked}"], capture_output=True, text=True, check=True)
        assert told.stdout.split() == ["disable"]


@pytest.mark.parametrize("kind", ["systemd", "windows", "container"])
def test_each_file_says_where_the_data_is_and_how_it_is_kept(
    folder: Path, kind: str, capsys: pytest.CaptureFixture[str]
) -> None:
    for words in ("Both are made", "Your shop is in"):
        assert cli.main(["service", kind, "--port", "8123"]) == 0
        said = capsys.readouterr().out
        for part in (
            "Read this",
            "Data:",
            "Backup:",
            "Restore:",
            "Upgrade:",
            "set-up code",
            "8123",
            "doctor",
        ):
            assert part in said
        if kind != "windows":
            assert words in said
        RunningShop.open(f"sqlite:///{folder / 'data' / 'shop.db'}").close()


@pytest.mark.skipif(not ANALYZE, reason="systemd-analyze is not here")
@pytest.mark.parametrize("https_port", [None, 8443])
@pytest.mark.parametrize("https_only", [False, True])
def test_systemd_takes_its_unit_and_finds_it_closed(
    tmp_path: Path, https_port: int | None, https_only: bool
) -> None:
    program = tmp_path / "my programs" / "beforeflash"
    program.parent.mkdir()
    program.write_text("#!/bin/sh\n", "utf-8")
    program.chmod(0o755)
    unit = tmp_path / "beforeflash-of-the-tests.service"
    proxies = "" if https_port else "127.0.0.1/32,::1/128"
    said = systemd.written(Installed(program, tmp_path, 8000, False, https_port, https_only, proxies))
    told = from_environment(dict(re.findall(r"^Environment=(\w+)=(.*)$", said, re.MULTILINE)))
    assert (told.https, told.https_only) == (https_port is not None, https_only)
    assert ",".join(map(str, told.proxies)) == proxies
    unit.write_text(said, "utf-8")
    checked = subprocess.run([str(ANALYZE), "verify", str(unit)], capture_output=True, text=True, check=False)
    assert (checked.returncode, checked.stderr) == (0, "")


@pytest.mark.parametrize(
    ("https_port", "https_only", "behind"),
    [(None, False, ""), (8443, False, " --https"), (8443, True, " --https --https-only")],
)
def test_windows_task_is_well_formed_and_starts_the_program(
    https_port: int | None, https_only: bool, behind: str
) -> None:
    installed = Installed(
        Path("C:/A & B/--beforeflash.exe"),
        Path("C:/Data -- mine"),
        8000,
        has_shop=True,
        https_port=https_port,
        https_only=https_only,
    )
    task = ET.fromstring(windows.written(installed))  # noqa: S314  # our own text
    assert task.tag == f"{TASKS}Task"
    [command] = task.iter(f"{TASKS}Command")
    [arguments] = task.iter(f"{TASKS}Arguments")
    assert command.text == "cmd.exe"
    assert arguments.text is not None
    log = str(installed.data_folder / "server.log")
    serve = f'"{installed.command}" serve --host 0.0.0.0 --port 8000{behind}'
    assert arguments.text == f'/c "mkdir "{installed.data_folder}" 2>nul & {serve} >> "{log}" 2>&1"'


@pytest.mark.parametrize("kind", ["systemd", "windows"])
def test_https_alone_is_printed_as_it_was_asked_for_and_refused_where_it_would_not_start(
    folder: Path, kind: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert cli.main(["service", kind, "--https", "--https-only"]) == 0
    said = capsys.readouterr().out
    wanted = "HTTPS_ONLY=yes" if kind == "systemd" else "--port 8000 --https --https-only"
    assert wanted in said
    for asked, why in (
        ([kind, "--https-only"], "add --https"),
        (["container", "--https-only"], "a proxy gives HTTPS"),
    ):
        assert cli.main(["service", *asked]) == 1
        told = capsys.readouterr()
        assert (told.out, why in told.err) == ("", True)
    monkeypatch.setenv("BEFOREFLASH_PROXIES", "127.0.0.1")
    assert cli.main(["service", "systemd", "--https-only"]) == 0
    assert "Environment=BEFOREFLASH_PROXIES=127.0.0.1/32\n" in capsys.readouterr().out


def test_the_container_file_has_known_instructions_and_nobody_is_root() -> None:
    """Dockerfile reference (docs.docker.com): an instruction a line, going on after a backslash."""
    said = container.written(Installed(Path("x"), Path("y"), 8000, has_shop=False))
    lines = re.sub(r"^#.*\n", "", said, flags=re.MULTILINE).replace("\\\n", " ").strip().splitlines()
    known = ("FROM RUN COPY ENV USER VOLUME EXPOSE STOPSIGNAL HEALTHCHECK CMD").split()  # noqa: SIM905
    assert [line for line in lines if line.split()[0] not in known] == []
    assert [line.split()[1] for line in lines if line.startswith("USER")] == ["10001"]
    for line in lines:
        if "[" in line and line.startswith(("CMD", "HEALTHCHECK")):
            assert json.loads(line[line.index("[") :])
