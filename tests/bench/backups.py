"""What a backup and a restore stand: `python -m tests.bench.backups`; root, for the small disks.

Prints, for a shop with some thousand rows: flipped bits and truncations taken (of 200 and 50), kills at every
moment of a restore, a backup, an upgrade and a night, kills of a restore by the clock, and
restores onto disks with less and less room. Each line ends with what was found broken; the exit code is 1 if
anything was.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from api import cli
from kb.desk.context import CONSOLE, RunningShop
from kb.desk.notes import notes
from kb.desk.shop import backups
from kb.nouns.people import Actor
from tests.factories import a_note
from tests.kill_points import killed_runs
from tests.older import a_shop_of, revisions

LEAD = Actor(0, "lead", "lead")
NOTES = 400
EVERY = 10_000  # more places than any command has moments


def run(data: Path, *command: str) -> tuple[int, str]:
    """A command in this process: its exit code and what it said."""
    os.environ["BEFOREFLASH_DATA"] = str(data)
    os.environ.pop("BEFOREFLASH_DATABASE_URL", None)
    said = io.StringIO()
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
        code = cli.main(command)
    return code, said.getvalue()


def write(data: Path, title: str, how_many: int) -> None:
    shop = RunningShop.open(f"sqlite:///{data / 'shop.db'}")
    with shop.writing(LEAD) as desk:
        for number in range(how_many):
            notes.write_note(desk, a_note(title=f"{title} {number}", body="Smoke-test the intake. " * 20))
    shop.close()


def state(data: Path) -> str:
    """Old, new, or what is wrong: SQLite finds it whole, today's program opens it, one shop is there."""
    with closing(sqlite3.connect(data / "shop.db")) as database:
        if database.execute("PRAGMA integrity_check").fetchall() != [("ok",)]:
            return "damaged"
    shop = RunningShop.open(f"sqlite:///{data / 'shop.db'}")
    with shop.reading(LEAD) as desk:
        titles = [str(row[0]) for row in desk.session.connection().exec_driver_sql("SELECT title FROM note")]
    shop.close()
    kinds = {title.split()[0].lower() for title in titles if title.split()[0] in ("Old", "New")}
    return kinds.pop() if len(kinds) == 1 and len(titles) >= NOTES else f"{len(titles)} notes of {kinds}"


def damaged_copies(data: Path, copy: Path) -> Iterator[str]:
    draw = random.Random(10)
    for file in (copy, copy.with_name(f"{copy.name}.check")):
        whole = file.read_bytes()
        taken = 0
        for turn in range(250):
            bad = bytearray(whole)
            if turn < 200:
                at = draw.randrange(len(whole) * 8)
                bad[at // 8] ^= 1 << at % 8
            else:
                del bad[draw.randrange(len(whole)) :]
            file.write_bytes(bad)
            taken += run(data, "restore", str(copy))[0] == 0
        file.write_bytes(whole)
        broken = [state(data)] * (state(data) != "old") + [f"{taken} taken"] * bool(taken)
        yield told(f"{file.suffix}: 200 flipped bits and 50 truncations: {taken} taken", broken)


def kills(data: Path, copy: Path, into: Path) -> Iterator[str]:
    pristine = data.parent
    runs = killed_runs(pristine, into / "restore", EVERY, "restore", str(copy))
    found = [state(one / "data") for one in runs]
    again = [run(one / "data", "restore", str(copy))[0] or state(one / "data") for one in runs]
    broken = [one for one in found if one not in ("old", "new")] + [one for one in again if one != "new"]
    spread = f"{found.count('old')} old, {found.count('new')} new"
    yield told(
        f"restore killed at each of {len(runs)} moments: {spread}", broken + left_over(into / "restore")
    )

    runs = killed_runs(pristine, into / "backup", EVERY, "backup", "{work}/copy.db")
    broken = [state(one / "data") for one in runs if state(one / "data") != "old"]
    named = [one for one in runs if (one / "copy.db").exists()]
    broken += ["a copy without its sheet" for one in named if not matches(one / "copy.db")]
    for one in runs:
        run(one / "data", "backup", str(one / "again.db"))
    yield told(
        f"backup killed at each of {len(runs)} moments: {len(named)} copies",
        broken + left_over(into / "backup"),
    )

    older = into / "older" / "data"
    older.mkdir(parents=True)
    for revision in revisions()[:-1]:
        a_shop_of(revision, older / "shop.db")
        runs = killed_runs(older.parent, into / revision, EVERY, "token", "owner")
        broken = [code for one in runs for code, _ in [run(one / "data", "token", "owner")] if code]
        yield told(
            f"upgrade from {revision} killed at each of {len(runs)} moments",
            broken + left_over(into / revision),
        )
        (older / "shop.db").unlink()


def nights(data: Path, into: Path) -> Iterator[str]:
    """Forty nights on the shelf, then one more that is killed."""
    shop = RunningShop.open(f"sqlite:///{data / 'shop.db'}")
    one = data / "backups" / backups.back_up_nightly(shop)
    shop.close()
    for day in range(40):
        name = f"shop-2026{1 + day // 28:02}{1 + day % 28:02}-120000-nightly.db"
        for ending in ("", ".check"):
            os.link(f"{one}{ending}", data / "backups" / f"{name}{ending}")
    for ending in ("", ".check"):
        Path(f"{one}{ending}").unlink()
    runs = killed_runs(data.parent, into / "night", EVERY, "nightly")
    broken = []
    for work in runs:
        broken += [
            f"{file} differs" for file in (work / "data" / "backups").glob("*.db") if not matches(file)
        ]
        shop = RunningShop.open(f"sqlite:///{work / 'data' / 'shop.db'}")
        backups.back_up_nightly(shop)
        with shop.reading(CONSOLE) as desk:
            lines = backups.read_backups(desk).lines
        shop.close()
        broken += [line.fault for line in lines if line.fault] + ["none tonight"] * (len(lines) < 9)
    yield told(f"a night killed at each of {len(runs)} moments", broken + left_over(into / "night"))
    shutil.rmtree(data / "backups")


def by_the_clock(data: Path, copy: Path, into: Path, turns: int = 40) -> str:
    """SIGKILL after a random time, of a process of its own: between the moments, too."""
    draw, found = random.Random(4), []
    command = [sys.executable, "-m", "api.cli", "restore", str(copy)]
    start = time.monotonic()
    shutil.copytree(data, into / "timed")
    subprocess.run(
        command, env=os.environ | {"BEFOREFLASH_DATA": str(into / "timed")}, check=True, capture_output=True
    )
    whole = time.monotonic() - start
    for turn in range(turns):
        work = into / f"clock-{turn}"
        shutil.copytree(data, work)
        process = subprocess.Popen(
            command,
            env=os.environ | {"BEFOREFLASH_DATA": str(work)},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        time.sleep(whole * draw.uniform(0.5, 1.05))  # the first half is Python's own start
        process.send_signal(signal.SIGKILL)
        process.wait()
        found.append(state(work))
        shutil.rmtree(work)
    broken = [one for one in found if one not in ("old", "new")]
    return told(
        f"restore killed {turns} times by the clock: {found.count('old')} old, {found.count('new')} new",
        broken,
    )


def full_disks(data: Path, copy: Path, into: Path) -> str:
    place = into / "disk"
    place.mkdir()
    size = copy.stat().st_size
    subprocess.run(["/bin/mount", "-t", "tmpfs", "-o", f"size={4 * size}", "tmpfs", str(place)], check=True)
    broken, told_how, codes = [], set(), []
    try:
        for tenth in range(16):
            shutil.copytree(data, place / "data")
            free = shutil.disk_usage(place).free
            (place / "filler").write_bytes(bytes(max(free - 150_000 - size * tenth // 10, 0)))
            code, said = run(place / "data", "restore", str(copy))
            codes.append(code)
            told_how.add("Free some room" in said or code == 0)
            (place / "filler").unlink()
            now = state(place / "data")
            broken += [now] * (now != ("new" if code == 0 else "old")) + left_over(place)
            shutil.rmtree(place / "data")
    finally:
        subprocess.run(["/bin/umount", str(place)], check=True)
    broken += ["no sentence"] * (False in told_how)
    return told(
        f"restore with room for 0 to 150 % of the copy: {codes.count(1)} refused, {codes.count(0)} done",
        broken,
    )


def matches(copy: Path) -> bool:
    said = json.loads(copy.with_name(f"{copy.name}.check").read_text())
    return bool(hashlib.sha256(copy.read_bytes()).hexdigest() == said["sha256"])


def left_over(place: Path) -> list[str]:
    return [str(file) for file in place.rglob("*unfinished*")]


_broken: list[object] = []


def told(line: str, broken: list[object] | list[str] | list[int]) -> str:
    _broken.extend(broken)
    return f"{line}: {'broken: ' + ', '.join(map(str, broken[:5])) if broken else 'none broken'}"


def main() -> int:
    with tempfile.TemporaryDirectory(prefix="beforeflash-bench-") as place:
        data, copy = Path(place) / "pristine" / "data", Path(place) / "copy.db"
        data.mkdir(parents=True)
        write(data, "New", NOTES)
        assert run(data, "backup", str(copy))[0] == 0  # nothing to try otherwise
        (data / "shop.db").unlink()
        write(data, "Old", NOTES)
        print(f"a shop of {copy.stat().st_size / 1e6:.1f} MB")
        for line in (*damaged_copies(data, copy), full_disks(data, copy, Path(place))):
            print(line, flush=True)
        print(by_the_clock(data, copy, Path(place)), flush=True)
        for line in kills(data, copy, Path(place)):
            print(line, flush=True)
        for line in nights(data, Path(place)):
            print(line, flush=True)
    return 1 if _broken else 0


if __name__ == "__main__":
    sys.exit(main())
