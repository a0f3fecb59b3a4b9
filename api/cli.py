"""The command line: where the process is put together."""

from __future__ import annotations

import argparse
import sqlite3
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from io import TextIOWrapper
from typing import TYPE_CHECKING

from api import settings
from api.commands import WHOLE_SHOP, say_aside, workers
from api.settings import ProcessSettings
from kb.errors import KbError
from kb.nouns.imports import FORMATS, DaysWritten, Encoding, Separator
from kb.nouns.lead.notes_wanted import Beside
from kb.nouns.shop.disk_trouble import of_os_error
from kb.nouns.shop.program import program_version

Command = Callable[[ProcessSettings, argparse.Namespace], int]
if TYPE_CHECKING:
    _Commands = argparse._SubParsersAction[argparse.ArgumentParser]  # noqa: SLF001  # the only name it has

NOTHING_READ = 1
"""Exit code when a command could not do its work at all; argparse uses 2 for a bad command line."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code. Errors are one plain sentence on stderr."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):  # a console that lacks a letter shows a mark for it
            stream.reconfigure(errors="replace")
    asked = parser().parse_args(arguments)
    command: Command = asked.command
    try:
        return command(settings.from_environment(), asked)
    except KeyboardInterrupt:
        return 130
    except Exception as error:
        said = _said(error)
        if not said:
            raise
        say_aside(f"beforeflash: {said}")
        return NOTHING_READ


def _said(error: Exception) -> str:
    """The sentence of an error that a command foresees; empty for any other."""
    if isinstance(error, OSError):
        return str(of_os_error(error) or error)
    if isinstance(error, KbError | settings.BadSettings):
        return str(error)
    from sqlalchemy.exc import DatabaseError, OperationalError  # half a second that no help text waits for

    if isinstance(error, OperationalError):
        return f"the database is busy or cannot be reached: {error.orig}"
    if isinstance(error, DatabaseError):
        return f"the database is damaged: {error.orig}. Put a backup back."
    return ""


def _later(module: str, name: str) -> Command:
    """A command whose module is imported when it is run: each brings the whole desk along."""

    def command(process: ProcessSettings, asked: argparse.Namespace) -> int:
        found: Command = getattr(import_module(f"api.commands.{module}"), name)
        return found(process, asked)

    return command


def _serve(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """What workers share is imported while this process imports what it needs itself."""
    there = process.at(asked.host, asked.port, https=asked.https, https_only=asked.https_only)
    if there.workers > 1:
        workers.prepare(there, there.shop_url)
    return _later("serving", "serve")(process, asked)


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    parser = argparse.ArgumentParser(
        prog="beforeflash",
        description="A shop's own memory for module reprogramming: is a reflash the fix, and did it cure?",
    )
    parser.add_argument("--version", action="version", version=_version(), help="say which version this is")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    _add_serving(commands)
    _add_import(commands)
    _add_files(commands)
    _add_people(commands)
    _add_looks(commands)
    _add_of_the_computer(commands)
    return parser


def _version() -> str:
    python = ".".join(map(str, sys.version_info[:3]))
    return f"beforeflash {program_version()} (Python {python}, SQLite {sqlite3.sqlite_version})"


def _add_serving(commands: _Commands) -> None:
    for name, command, about in (
        ("serve", _serve, "start the pages and the JSON interface for your shop"),
        ("demo", _later("demo", "demo"), "the same with an invented shop, rebuilt at every start"),
    ):
        one = commands.add_parser(name, help=about, description=about)
        one.add_argument("--host", help="address to listen at (127.0.0.1 unless BEFOREFLASH_HOST is set)")
        one.add_argument("--port", type=int, help="port to listen at (8000 unless BEFOREFLASH_PORT is set)")
        one.add_argument(
            "--https", action="store_true", help="by an authority of your own, which each tablet trusts once"
        )
        one.add_argument(
            "--https-only", action="store_true", help="nothing without HTTPS, of its own or of a proxy here"
        )
        one.set_defaults(command=command)


def _add_wanted(one: argparse.ArgumentParser) -> None:
    """What to keep of a file of the government."""
    one.add_argument(
        "--make", action="append", default=[], metavar="MAKE", help="keep only this make; repeat for more"
    )
    one.add_argument("--software-only", action="store_true", help="keep only what is remedied by software")
    one.add_argument(
        "--also",
        action="append",
        default=[],
        choices=[each.value for each in Beside],
        help="keep these too, beside vehicles; repeat for more",
    )


def _add_import(commands: _Commands) -> None:
    one = commands.add_parser("import", help="bring in bulletins, notes, history, or a whole shop")
    one.add_argument(
        "format",
        metavar="FORMAT",
        help=f"{', '.join(FORMATS)}; {WHOLE_SHOP}: an export, as the shop of an empty folder",
    )
    one.add_argument("file", metavar="FILE")
    one.add_argument("--dry-run", action="store_true", help="say what would come in; save nothing")
    one.add_argument(
        "--column",
        action="append",
        default=[],
        metavar="THEIRS=OURS",
        help="a column of the file under another name; repeat for more, leave out OURS to skip it",
    )
    one.add_argument(
        "--days",
        choices=[each.value for each in DaysWritten],
        help="the order in which the file writes its days; found by looking if left out",
    )
    one.add_argument("--header", type=int, default=0, metavar="LINE", help="the line that names the columns")
    one.add_argument("--separator", choices=[each.name.lower() for each in Separator], help="between columns")
    one.add_argument("--encoding", choices=[each.value for each in Encoding], help="of the letters")
    one.add_argument("--sheet", default="", metavar="NAME", help="of a workbook")
    one.add_argument(
        "--take-texts",
        action="store_true",
        help="make drafts of texts under the update that are no numbers of bulletins",
    )
    one.add_argument(
        "--left-out", metavar="FILE", help="where to write the rows left out, with their reasons"
    )
    _add_wanted(one)
    _add_json(one)
    one.set_defaults(command=_later("data", "import_file"))


def _add_files(commands: _Commands) -> None:
    one = commands.add_parser("export", help="the whole shop as JSON lines, or its notes alone")
    one.add_argument("file", metavar="FILE", nargs="?", help="where to; standard output if left out")
    one.add_argument(
        "--notes", metavar="FILE", help="the notes alone, as .csv or .jsonl that `import notes` reads"
    )
    one.set_defaults(command=_later("data", "export"))
    one = commands.add_parser("backup", help="a checked copy of the database, while the server runs")
    one.add_argument("file", metavar="FILE")
    _add_json(one)
    one.set_defaults(command=_later("data", "backup"))
    one = commands.add_parser("restore", help="make a copy the shop's database; the server must be stopped")
    one.add_argument("file", metavar="FILE")
    _add_json(one)
    one.set_defaults(command=_later("data", "restore"))


def _add_json(one: argparse.ArgumentParser) -> None:
    one.add_argument("--json", action="store_true", help="say it as JSON, for a program")


def _add_looks(commands: _Commands) -> None:
    about = "look the house over: disk, database, backups, port, clock; say what to do"
    one = commands.add_parser(
        "doctor", help=about, description=f"{about}. Exit code: 0, 1 to look at, 2 bad."
    )
    _add_json(one)
    one.add_argument("--host", help="address to look at, as `serve --host`")
    one.add_argument("--port", type=int, help="port to look at, as `serve --port`")
    one.set_defaults(command=_later("doctor", "doctor"))
    one = commands.add_parser("trail", help="who did what, and whether a line of it is missing or changed")
    one.add_argument("--verify", action="store_true", help="look at every line; exit code 1 if one is amiss")
    one.add_argument("--noted", default="", metavar="SEAL", help="a seal noted down earlier, to look for too")
    one.add_argument("--who", default="", metavar="NAME", help="only the lines of this person")
    _add_json(one)
    one.set_defaults(command=_later("trail", "trail"))


def _add_of_the_computer(commands: _Commands) -> None:
    one = commands.add_parser("service", help="print what starts it with the computer, to read first")
    kinds, about = ("systemd", "windows", "container"), "this system's if left out"
    one.add_argument("kind", nargs="?", choices=kinds, help=about)
    one.add_argument("--port", type=int, help="port to listen at")
    one.add_argument(
        "--https", action="store_true", help="as `serve --https`; in a container a proxy does it"
    )
    one.add_argument("--https-only", action="store_true", help="as `serve --https-only`; not in a container")
    one.set_defaults(command=_later("service", "service"))
    one = commands.add_parser("packages", help="what else is installed for it, why, and under which licence")
    _add_json(one)
    one.set_defaults(command=_later("packages", "packages"))
    one = commands.add_parser("completion", help="print what lets a shell fill in commands and options")
    one.add_argument("shell", choices=("bash", "zsh", "fish", "powershell"))
    one.set_defaults(command=_later("completion", "completion"))


def _add_people(commands: _Commands) -> None:
    one = commands.add_parser("token", help="print a new API token of a person")
    one.add_argument("name", metavar="NAME", help="in a database without users: tech, lead or owner")
    one.set_defaults(command=_later("people", "token"))
    one = commands.add_parser("user", help="list people, add one, set a password, disable or enable one")
    one.add_argument("action", choices=("list", "add", "password", "disable", "enable"))
    one.add_argument("name", metavar="NAME", nargs="?", default="")
    one.add_argument("--role", default="tech", choices=("tech", "lead", "owner"))
    one.add_argument("--display-name", default="", metavar="TEXT")
    one.add_argument("--made-up", action="store_true", help="with a password made up for them, printed once")
    _add_json(one)
    one.set_defaults(command=_later("people", "user"))


if __name__ == "__main__":
    sys.exit(main())
