"""`import`, `export`, `backup`, `restore`: the shop's data in and out."""

from __future__ import annotations

import argparse
import json
import sys
from contextlib import AbstractContextManager, closing, nullcontext
from pathlib import Path
from typing import TextIO

from api.commands import say, say_aside
from api.settings import ProcessSettings
from kb.desk import imports, upkeep
from kb.desk.context import CONSOLE, RunningShop, utc_now
from kb.errors import BadInput, Unreadable
from kb.nouns.imports import DaysWritten, HowToRead

FORMATS = (
    "history",
    "notes",
    "recall-communications",
    "manufacturer-communications",
    "service-bulletins",
)


def import_file(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """0 when something could be read, with row errors listed on stderr; 1 when nothing could."""
    if asked.format not in FORMATS:
        raise BadInput(f"There is no format {asked.format!r}. Choose one of {', '.join(FORMATS)}.")
    file = Path(asked.file)
    if file.is_dir():
        raise Unreadable(f"{file} is a folder. Name a file in it.")
    if not file.is_file():
        raise Unreadable(f"There is no file {file}.")
    how = HowToRead(_columns(asked.column), DaysWritten(asked.days))
    with closing(RunningShop.open(process.shop_url)) as shop:
        job = imports.run_import(
            shop, CONSOLE, asked.format, file.name, file.read_bytes(), dry_run=asked.dry_run, how=how
        )
        with shop.reading(CONSOLE) as desk:
            view = imports.read_import(desk, job)
    for error in view.errors:
        place = f"line {error.line}" if error.line else "the file"
        place += f", {error.field}" if error.field else ""
        say_aside(f"{error.severity}: {place}: {error.message}")
    say(view.sentence)
    return 1 if view.nothing_taken else 0


def _columns(asked: list[str]) -> dict[str, str]:
    """What each --column says: THEIRS=OURS, or THEIRS= to leave a column out."""
    columns = {}
    for pair in asked:
        theirs, equals, ours = (part.strip() for part in pair.rpartition("="))
        if not (theirs and equals):
            raise BadInput(f"--column {pair!r} should read like 'Their column=our_column'.")
        columns[theirs] = ours
    return columns


def export(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """JSON lines to the file, or to standard output."""
    if asked.file:
        _refuse_bad_target(Path(asked.file))
    count = -1
    with (
        closing(RunningShop.open(process.shop_url)) as shop,
        shop.reading(CONSOLE) as desk,
        _opened(asked.file) as out,
    ):
        for count, row in enumerate(upkeep.export_rows(desk)):  # noqa: B007  # counts the rows
            out.write(json.dumps(row, ensure_ascii=False) + "\n")
    say_aside(f"{count:,} rows written.")
    return 0


def backup(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """A checked copy; the server may go on."""
    _refuse_bad_target(Path(asked.file))
    with closing(RunningShop.open(process.shop_url)) as shop:
        upkeep.back_up(shop, Path(asked.file))
    say(f"Copied to {asked.file}, checked.")
    return 0


def restore(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """Put a copy back; what was there is kept beside it."""
    if process.database_url and not process.database_url.startswith("sqlite"):
        raise BadInput("This shop is on PostgreSQL: put it back with pg_restore.")
    file = Path(process.database_url.removeprefix("sqlite:///") or process.shop_file)
    kept = upkeep.put_back(Path(asked.file), file, utc_now())
    RunningShop.open(process.shop_url).close()
    say(f"{asked.file} is now the shop." + (f" The old one is kept as {kept}." if kept else ""))
    return 0


def _refuse_bad_target(file: Path) -> None:
    """A mistyped folder is not made: nobody would find the copy in it."""
    if file.is_dir():
        raise BadInput(f"{file} is a folder. Name the file to write in it.")
    if not file.parent.is_dir():
        raise BadInput(f"There is no folder {file.parent}. Make it first, or name another one.")


def _opened(file: str | None) -> AbstractContextManager[TextIO]:
    return Path(file).open("w", encoding="utf-8") if file else nullcontext(sys.stdout)
