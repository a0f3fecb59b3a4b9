from __future__ import annotations

import io
import re
import socket
import sys
from pathlib import Path

import httpx
import pytest

from api import cli, settings
from api.commands import say
from kb.desk.access import accounts, sessions, sign_ins, tokens
from kb.desk.context import CONSOLE, RunningShop
from kb.desk.notes import notes
from kb.nouns.people import Actor
from tests import patience
from tests.api.conftest import StartServer
from tests.factories import a_note

LEAD = Actor(0, "lead", "lead")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder that does not exist yet, as for somebody who starts for the first time."""
    for name in ("DATABASE_URL", "HOST", "PORT", "WORKERS", "HTTPS"):
        monkeypatch.setenv(f"BEFOREFLASH_{name}", "")
    monkeypatch.setenv("BEFOREFLASH_DATA", str(tmp_path / "data"))
    return tmp_path / "data"


def open_shop(folder: Path) -> RunningShop:
    return RunningShop.open(f"sqlite:///{folder / 'shop.db'}")


def test_the_data_folder_is_the_named_one_else_the_desktops_else_the_homes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """XDG Base Directory Specification 0.8 (from memory): $XDG_DATA_HOME, else ~/.local/share."""
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    named = settings.from_environment({"BEFOREFLASH_DATA": str(tmp_path), "XDG_DATA_HOME": "/elsewhere"})
    desktop = settings.from_environment({"XDG_DATA_HOME": "/elsewhere"})
    home = settings.from_environment({})
    assert named.shop_file == tmp_path / "shop.db"
    assert desktop.demo_file == Path("/elsewhere/beforeflash/demo.db")
    assert home.data_folder == Path.home() / ".local/share/beforeflash"


def test_a_shop_that_an_earlier_version_made_is_found_where_it_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on Windows, whose own folder (%LOCALAPPDATA%) is another than the one used so far."""
    earlier, usual = tmp_path / ".local" / "share" / "beforeflash", tmp_path / "AppData" / "beforeflash"
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    monkeypatch.setattr(settings, "user_data_path", lambda *_, **__: usual)
    assert settings.from_environment({}).data_folder == usual
    for folder, expected in ((earlier, earlier), (usual, usual)):
        folder.mkdir(parents=True)
        (folder / "shop.db").touch()
        assert settings.from_environment({}).data_folder == expected
    assert (earlier / "shop.db").exists()  # nothing moves in silence


@pytest.mark.parametrize("said", ["80a", "-1", "65536"])
def test_a_port_that_cannot_be_is_a_sentence_and_not_a_traceback(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], said: str
) -> None:
    monkeypatch.setenv("BEFOREFLASH_PORT", said)
    assert cli.main(["token", "owner"]) == 1
    assert capsys.readouterr().err == (
        f"beforeflash: BEFOREFLASH_PORT is {said!r}; it must be a whole number from 0 to 65535.\n"
    )


def test_token_prints_one_plain_line_and_makes_the_first_user(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["token", "lead"]) == 0
    said = capsys.readouterr()
    assert said.err == ""
    assert said.out.count("\n") == 1
    shop = open_shop(folder)
    with shop.reading() as desk:
        holder = tokens.who_holds_token(desk, said.out.strip())
        assert sign_ins.first_run_open(desk)
    shop.close()
    assert holder is not None
    assert holder.actor == Actor(1, "lead", "lead")
    assert cli.main(["token", "maria"]) == 1
    assert "maria" in capsys.readouterr().err


def test_token_uses_the_demo_only_while_there_is_no_shop(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    demo = RunningShop.open(f"sqlite:///{folder / 'demo.db'}", is_demo=True)
    with demo.writing(CONSOLE) as desk:
        accounts.add_starting_people(desk)
    assert cli.main(["token", "tech"]) == 0
    said = capsys.readouterr()
    assert "demo" in said.err
    assert said.out.count("\n") == 1
    with demo.reading() as desk:
        holder = tokens.who_holds_token(desk, said.out.strip())
    assert holder is not None
    assert holder.actor.name == "tech"
    demo.close()
    open_shop(folder).close()
    assert cli.main(["token", "tech"]) == 0
    assert capsys.readouterr().err == ""


def test_an_import_counts_what_it_took_and_lists_what_it_could_not(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "lessons.csv"
    file.write_text("kind,title\nlesson,Check the ground first\nlesson,\n", "utf-8")
    assert cli.main(["import", "notes", str(file)]) == 0
    said = capsys.readouterr()
    assert said.out.startswith("1 new")
    assert "line 3" in said.err


def test_an_import_names_the_columns_it_does_not_read_and_warns_of_comebacks_lost(
    folder: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "old.csv").write_text("ro_number,complaint,Comeback,Pay\n1,stalls,yes,8\n2,stalls,yes,9\n")
    assert cli.main(["import", "--dry-run", "history", str(tmp_path / "old.csv")]) == 0
    said = capsys.readouterr()
    assert said.err.startswith(
        "columns named in line 1 (comma, utf-8); days as year-month-day\n"
        "read: ro_number = ro_number; complaint = complaint; Comeback = came_back\nleft out: Pay\n"
    )
    left = ["--column", "Comeback="]
    assert cli.main(["import", "--dry-run", *left, "history", str(tmp_path / "old.csv")]) == 0
    said = capsys.readouterr()
    assert said.err.endswith(
        "warning: line 1, Comeback: Column “Comeback” is left out: 2 rows say “yes”. "
        "Rows that came back would count as cured. Say what it is read as.\n"
        "notice: line 1, Pay: Column “Pay” is left out: 1 row says “8”, 1 “9”.\n"
    )
    assert "1 to look at again." in said.out


@pytest.mark.parametrize("content", ["", "color,size\nred,4\n", "\x00\x01\x02"])
def test_an_import_of_nothing_readable_ends_with_1(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], content: str
) -> None:
    file = tmp_path / "odd.csv"
    file.write_text(content, "utf-8")
    assert cli.main(["import", "history", str(file)]) == 1
    assert "Traceback" not in capsys.readouterr().err
    assert cli.main(["import", "history", str(tmp_path / "missing.csv")]) == 1


def test_a_backup_taken_amid_work_comes_back_whole_and_the_old_shop_is_kept(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shop, copy = open_shop(folder), tmp_path / "copy.db"
    with shop.writing(LEAD) as desk:
        first = notes.write_note(desk, a_note(title="In the backup"))
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, a_note(title="Never committed before the copy"))
        assert cli.main(["backup", str(copy)]) == 0
    with shop.writing(LEAD) as desk:
        notes.change_note(desk, first.id, 1, a_note(title="Changed after the backup"))
    assert cli.main(["restore", str(copy)]) == 1
    assert "Stop it first" in capsys.readouterr().err
    shop.close()
    assert cli.main(["restore", str(copy)]) == 0
    shop = open_shop(folder)
    with shop.reading(LEAD) as desk:
        page = notes.list_notes(desk, notes.NoteFilter())
    shop.close()
    assert [line.title for line in page.lines] == ["In the backup"]
    assert len(list(folder.glob("shop.db.before-*"))) == 1


def test_a_damaged_copy_is_refused_and_the_shop_stays_as_it_was(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shop, copy = open_shop(folder), tmp_path / "copy.db"
    with shop.writing(LEAD) as desk:
        for number in range(200):
            notes.write_note(desk, a_note(title=f"Lesson {number}"))
    assert cli.main(["backup", str(copy)]) == 0
    assert cli.main(["backup", str(copy)]) == 1  # it never writes over a copy
    shop.close()
    whole = copy.read_bytes()
    before = (folder / "shop.db").read_bytes()
    holed = whole[:9000] + bytes(40_000) + whole[49_000:]
    for damaged in (b"", b"not a database", whole[: len(whole) // 2], holed):
        copy.write_bytes(damaged)
        assert cli.main(["restore", str(copy)]) == 1
        assert (folder / "shop.db").read_bytes() == before
    assert "Traceback" not in capsys.readouterr().err


def test_postgresql_is_backed_up_with_its_own_tools(
    postgres_url: str, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    template = postgres_url.replace("/postgres?", "/shop_template?")
    monkeypatch.setenv("BEFOREFLASH_DATABASE_URL", template)
    assert cli.main(["backup", "copy.db"]) == 1
    assert "pg_dump" in capsys.readouterr().err
    assert cli.main(["restore", "copy.db"]) == 1
    assert "pg_restore" in capsys.readouterr().err


def test_people_are_added_and_disabled_from_the_console_and_passwords_are_not_arguments(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("correct horse 7\n"))
    assert cli.main(["user", "add", "Maria", "--role", "owner", "--display-name", "Maria O."]) == 0
    monkeypatch.setattr("sys.stdin", io.StringIO("battery staple 8\n"))
    assert cli.main(["user", "add", "tom"]) == 0
    assert cli.main(["user", "disable", "tom"]) == 0
    assert capsys.readouterr().out.splitlines()[-2:] == [
        "maria\towner\tMaria O.",
        "tom\ttech\ttom (disabled)",
    ]
    for refused in (["token", "tom"], ["user", "password", "tom"], ["user", "add", "tom"]):
        monkeypatch.setattr("sys.stdin", io.StringIO("battery staple 9\n"))
        assert cli.main(refused) == 1
        assert "disabled" in capsys.readouterr().err
    assert cli.main(["user", "enable", "tom"]) == 0
    assert capsys.readouterr().out.splitlines()[-1] == "tom\ttech\ttom"
    assert cli.main(["user", "password", "tom", "--made-up"]) == 0
    made = capsys.readouterr().out.splitlines()[0].split()[-1]
    shop = open_shop(folder)
    maria = sign_ins.sign_in(shop, "maria", "correct horse 7")
    tom = sign_ins.sign_in(shop, "tom", made)
    assert (maria.actor.role, tom.actor.role) == ("owner", "tech")
    with shop.reading() as desk:
        seen = [sessions.who_holds_cookie(desk, one.cookie) for one in (maria, tom)]
    assert [one.password_is_given for one in seen if one] == [False, True]
    shop.close()


def test_a_message_names_the_commands_as_the_program_was_called(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for called, said in (
        (".venv/bin/beforeflash", "`.venv/bin/beforeflash serve`"),
        ("pytest", "`beforeflash serve`"),
    ):
        monkeypatch.setattr("sys.argv", [called])
        say("Start `beforeflash serve`.")
        assert capsys.readouterr().out == f"Start {said}.\n"


def test_the_network_is_not_served_a_demo_wherever_its_database_was_copied_to(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    RunningShop.open(f"sqlite:///{folder}/demo.db", is_demo=True).close()
    (folder / "demo.db").rename(folder / "shop.db")
    assert cli.main(["serve", "--port", "8791"]) == 1
    assert "is a demo's: its vehicles and people are invented" in capsys.readouterr().err


def test_an_empty_shop_answers_without_sign_in_prints_its_code_and_stops_in_time(
    start_server: StartServer,
) -> None:
    server = start_server()
    assert httpx.get(server.url, follow_redirects=True, timeout=patience.LONG).status_code == 200
    assert httpx.get(f"{server.url}/api/me", timeout=patience.LONG).status_code == 401
    server.stop()
    assert server.url in server.printed
    assert "Set-up code" in server.printed
    assert "Traceback" not in server.printed


def test_a_note_saved_in_one_worker_is_found_in_every_worker(start_server: StartServer) -> None:
    server = start_server(BEFOREFLASH_WORKERS="2")
    headers = server.token("lead")
    for word in ("quibberish", "frandolin", "marbolent", "tessarine"):
        with httpx.Client(base_url=server.url, headers=headers, timeout=patience.LONG) as one:
            made = one.post("/api/notes", json={"kind": "lesson", "title": f"Hood {word} latch"}).json()
        for _ in range(4):  # a new connection goes to whichever worker is free
            with httpx.Client(base_url=server.url, headers=headers, timeout=patience.LONG) as other:
                found = other.get("/api/search", params={"q": word}).json()["results"]
            assert [one["id"] for one in found][:1] == [made["id"]]
    server.wait_until_printed("Search index ready: ", 2)
    if sys.platform == "linux":  # both are divided from one that has imported what they need
        children = {one: _children(one) for one in _children(server.process.pid)}
        assert sorted(map(len, children.values()))[-1] == 2
    server.stop()
    assert server.printed.count("Search index ready: ") == 2  # one a worker
    assert len(list((server.folder / "backups").glob("*-nightly.db"))) == 1  # one for both


def _children(process: int) -> list[int]:
    return [int(one) for one in Path(f"/proc/{process}/task/{process}/children").read_text().split()]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["serve", "--port", "99999"], "1 to 65535"),
        (["serve", "--port", "0"], "1 to 65535"),
        (["serve", "--host", "no such host", "--port", "8001"], "no address"),
        (["import", "histori", "."], "history, notes"),
        (["import", "history", "."], "is a folder"),
        (["backup", "missing/copy.db"], "no folder missing"),
        (["export", "missing/all.jsonl"], "no folder missing"),
    ],
)
def test_a_command_that_cannot_work_says_why_in_a_sentence_before_anything_else(
    folder: Path, capsys: pytest.CaptureFixture[str], typed: list[str], said: str
) -> None:
    assert cli.main(typed) == 1
    told = capsys.readouterr()
    assert said in told.err
    assert told.out == ""
    assert not (Path.cwd() / "missing").exists()


def test_a_port_that_somebody_listens_at_is_said_to_be_in_use(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        assert cli.main(["serve", "--port", str(port)]) == 1
    said = capsys.readouterr().err
    assert f"Port {port} is in use already, by another program. Stop that one first" in said
    free = int(re.search(r"--port (\d+)", said)[1])  # type: ignore[index]  # a sentence without one fails
    socket.create_server(("127.0.0.1", free)).close()
    assert not folder.exists()
