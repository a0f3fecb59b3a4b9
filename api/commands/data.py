"""`import`, `export`, `backup`, `restore`: the shop's data in and out."""

from __future__ import annotations

import argparse
import sys
from contextlib import closing
from dataclasses import asdict
from pathlib import Path

from api.commands import WHOLE_SHOP, say, say_aside, say_json
from api.commands.progress import how_far, steps
from api.commands.trail import of_trail
from api.settings import ProcessSettings
from kb.desk import opening_database
from kb.desk.bay.advice import abouts
from kb.desk.context import CONSOLE, RunningShop, utc_now
from kb.desk.imports import imports, reading_how, rows_left_out
from kb.desk.imports.import_told import ImportView
from kb.desk.imports.reading_how import HowAsked
from kb.desk.notes import notes_out
from kb.desk.shop import backup_and_restore, out_and_in_again
from kb.desk.shop.rows_in_words import counted
from kb.errors import BadInput, NotDone, NotFound, Unreadable
from kb.nouns.imports import FORMATS, DaysWritten, Encoding, HowToRead, Layout, Separator
from kb.nouns.lead.notes_wanted import Beside, NotesWanted

_HOW_PEOPLE_COME_IN = (
    "Everybody came in disabled, without password and tokens. Start `beforeflash serve`: with the set-up "
    "code that it prints, the owner comes in again under the old name. Enable the others under People, or "
    "with `beforeflash user enable NAME`, and give each a new password (`beforeflash user password NAME`)."
)


def import_file(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """0 when something could be read, with row errors listed on stderr; 1 when nothing could."""
    file = _file_to_read(asked)
    if asked.format == WHOLE_SHOP:
        return _bring_in(process, asked, file)
    made = not opening_database.has_shop(process.shop_url)
    if made and not process.named:
        raise NotFound(
            f"There is no shop in {process.data_folder} yet. Start one with `beforeflash serve`, "
            "or name the folder of a new one in BEFOREFLASH_DATA."
        )
    with closing(RunningShop.open(process.shop_url)) as shop:
        data = file.read_bytes()
        with shop.reading(CONSOLE) as desk:
            how = reading_how.how_to_read(desk, asked.format, data, _how_asked(asked))
        _say_how(how)
        with how_far(f"Reading {file.name}") as told:
            job = imports.run_import(
                *(shop, CONSOLE, asked.format, file.name, data), dry_run=asked.dry_run, how=how, how_far=told
            )
        if not asked.dry_run:
            _look_again(shop)
        with shop.reading(CONSOLE) as desk:
            view = imports.read_import(desk, job)
            if asked.left_out and view.left_out_kept:
                Path(asked.left_out).write_bytes(rows_left_out.left_out_file(desk, job))
    _say_import(view, as_json=asked.json)
    if made and not asked.json:
        say(f"A new shop was made for it in {process.place}.")
    return 1 if view.nothing_taken else 0


def _say_import(view: ImportView, *, as_json: bool) -> None:
    if as_json:
        say_json(asdict(view) | {"sentence": view.sentence})
        return
    for error in view.errors:
        place = f"line {error.line}" if error.line else "the file"
        place += f", {error.field}" if error.field else ""
        place += f" (“{error.column}”)" if error.column else ""
        say_aside(f"{error.severity}: {place}: {error.message}")
    say(view.sentence)
    if view.reflashes_said:
        say(view.reflashes_said)


def _look_again(shop: RunningShop) -> None:
    """What came in is in, also where a concern cannot be looked at in its light."""
    try:
        abouts.renew_abouts(shop)
    except NotDone as some:
        say_aside(f"warning: {some}")


def _file_to_read(asked: argparse.Namespace) -> Path:
    if asked.format not in (*FORMATS, WHOLE_SHOP):
        raise BadInput(
            f"There is no format {asked.format!r}. Choose one of {', '.join((*FORMATS, WHOLE_SHOP))}."
        )
    file = Path(asked.file)
    if file.is_dir():
        raise Unreadable(f"{file} is a folder. Name a file in it.")
    if not file.is_file():
        raise Unreadable(f"There is no file {file}.")
    return file


def _bring_in(process: ProcessSettings, asked: argparse.Namespace, file: Path) -> int:
    """An export as the shop of an empty place; a dry run only looks whether the file is whole."""
    if asked.column or asked.days:
        raise BadInput("An export of a whole shop is taken as it is: leave out --column and --days.")
    if asked.dry_run:
        holds = out_and_in_again.look_through(file)
        if asked.json:
            say_json({"shop": holds.shop, "rows": holds.tables, "brought_in": False})
            return 0
        say(f"{file} is whole: {holds.shop}, with {counted(holds.tables)}. Nothing was brought in.")
        return 0
    with steps() as step:
        holds = out_and_in_again.bring_in(file, process.shop_url, utc_now(), step)
    if asked.json:
        say_json({"shop": holds.shop, "rows": holds.tables, "trail": of_trail(process.shop_url).says})
        return 0
    say(f"{holds.shop} is in {process.place}, with {counted(holds.tables)}.")
    say(f"Its trail came along. {of_trail(process.shop_url).says}")
    if holds.tables.get("shop_user"):
        say(_HOW_PEOPLE_COME_IN)
    return 0


def _how_asked(asked: argparse.Namespace) -> HowAsked:
    return HowAsked(
        _columns(asked.column),
        DaysWritten(asked.days) if asked.days else None,
        Layout(
            asked.header,
            Separator[asked.separator.upper()] if asked.separator else None,
            Encoding(asked.encoding) if asked.encoding else None,
            asked.sheet,
        ),
        asked.take_texts,
        NotesWanted(tuple(asked.make), asked.software_only, frozenset(map(Beside, asked.also))),
    )


def _say_how(how: HowToRead) -> None:
    """What the columns of a shop's own file are read as, so that nothing is guessed in silence."""
    if not how.columns:
        return
    layout, read = how.layout, [f"{theirs} = {ours}" for theirs, ours in how.columns.items() if ours]
    place = (
        f"sheet {layout.sheet}" if layout.sheet else f"{(layout.separator or Separator.COMMA).name.lower()}"
    )
    encoding = f", {layout.encoding.value}" if layout.encoding else ""
    say_aside(f"columns named in line {layout.header_line} ({place}{encoding}); days as {how.days.value}")
    say_aside(f"read: {'; '.join(read)}")
    left = [theirs for theirs, ours in how.columns.items() if not ours]
    if left:
        say_aside(f"left out: {'; '.join(left)}")


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
    """JSON lines to the file, or to standard output; or the notes alone to a file of their own."""
    if asked.notes:
        return _export_notes(process, asked)
    if asked.file:
        _refuse_bad_target(Path(asked.file))
    with closing(RunningShop.look_at(process.shop_url)) as shop, shop.reading(CONSOLE) as desk:
        if asked.file:
            count = out_and_in_again.export_to_file(desk, Path(asked.file))
        else:
            count = out_and_in_again.export_to(desk, sys.stdout)
    say_aside(f"{count:,} lines written.")
    return 0


def _export_notes(process: ProcessSettings, asked: argparse.Namespace) -> int:
    if asked.file:
        raise BadInput(
            "Name one file: `export FILE` for the whole shop, `export --notes FILE` for its notes."
        )
    file = Path(asked.notes)
    _refuse_bad_target(file)
    with closing(RunningShop.look_at(process.shop_url)) as shop, shop.reading(CONSOLE) as desk:
        notes_out.export_notes_to_file(desk, file)
    say_aside(f"The notes are in {file}.")
    return 0


def backup(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """A checked copy with its check sheet; the server may go on."""
    file = Path(asked.file)
    _refuse_bad_target(file)
    sheet = backup_and_restore.back_up(process.shop_url, file, utc_now())
    if asked.json:
        say_json({"file": file.absolute(), "check": f"{file.absolute()}.check", **asdict(sheet)})
        return 0
    say(f"{sheet.holds.shop}: copied to {file} and read back. It holds {counted(sheet.holds.tables)}.")
    say(f"Keep {file.name}.check beside it: `beforeflash restore` checks the copy by it.")
    return 0


def restore(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """Put a copy back; what was there is kept beside it."""
    with steps() as step:
        done = backup_and_restore.put_back(Path(asked.file), process.shop_url, utc_now(), step)
    if asked.json:
        trail = of_trail(process.shop_url)
        told = {"shop": done.holds.shop, "rows": done.holds.tables, "checked": done.sheet is not None}
        say_json({**told, "kept": done.kept, "trail": trail.says})
        return 0
    if done.sheet is None:
        say_aside(
            f"warning: {asked.file}.check is missing, as with copies of older versions. It looks sound, "
            "but nobody can tell whether it is what was written. Look through the shop before you rely on it."
        )
    say(f"{asked.file} is now the shop: {done.holds.shop}, with {counted(done.holds.tables)}.")
    say(f"Its trail goes on from that copy. {of_trail(process.shop_url).says}")
    if done.kept:
        say(f"The old one is kept as {done.kept}. Delete it when you are sure.")
    return 0


def _refuse_bad_target(file: Path) -> None:
    """A mistyped folder is not made: nobody would find the copy in it."""
    if file.is_dir():
        raise BadInput(f"{file} is a folder. Name the file to write in it.")
    if not file.parent.is_dir():
        raise BadInput(f"There is no folder {file.parent}. Make it first, or name another one.")
