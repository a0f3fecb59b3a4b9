"""Kills a command at chosen moments, as a power cut would, and leaves what it left to be looked at.

`python -m tests.kill_points PRISTINE INTO PLACES COMMAND...` runs the command once for each of PLACES moments
spread over its run, each time on a fresh copy of PRISTINE at INTO/N, whose `data` is the data folder and
whose path stands for {work} in the command. INTO/whole is a run that nobody killed. A moment is a file opened
for writing, renamed, linked or removed, a database opened, or a statement sent to one. It is a process of its
own because it forks, which a process with threads must not.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules

import api.commands

_MOMENTS = {
    "os.rename",
    "os.remove",
    "os.link",
    "os.mkdir",
    "os.chmod",
    "os.truncate",
    "shutil.copyfile",
    "sqlite3.connect",
}


def killed_runs(pristine: Path, into: Path, places: int, *command: str) -> list[Path]:
    """The folders of the killed runs; the whole one is `into / "whole"`."""
    arguments = [sys.executable, "-m", "tests.kill_points", str(pristine), str(into), str(places), *command]
    subprocess.run(arguments, check=True, timeout=600, stdout=subprocess.DEVNULL)
    return sorted((one for one in into.iterdir() if one.name.isdecimal()), key=lambda one: int(one.name))


class Moments:
    """Counts them, and kills this process at the one that is wanted (0: never)."""

    def __init__(self, wanted: int) -> None:
        self.wanted, self.met = wanted, 0

    def meet(self, *_: object) -> None:
        self.met += 1
        if self.met == self.wanted:
            os.kill(os.getpid(), signal.SIGKILL)

    def hear(self, event: str, arguments: tuple[object, ...]) -> None:
        writes = (
            event == "open" and isinstance(arguments[2], int) and arguments[2] & (os.O_WRONLY | os.O_RDWR)
        )
        if writes or event in _MOMENTS:
            self.meet()


def _run(work: Path, wanted: int, command: list[str]) -> None:
    from sqlalchemy import Engine, event

    from api import cli, nightly_backup
    from kb.desk.context import RunningShop

    os.environ["BEFOREFLASH_DATA"] = str(work / "data")
    moments = Moments(wanted)
    sys.addaudithook(moments.hear)
    event.listen(Engine, "before_cursor_execute", moments.meet)
    if command == ["nightly"]:
        nightly_backup.look(RunningShop.open(f"sqlite:///{work / 'data' / 'shop.db'}"))
    else:
        cli.main([part.replace("{work}", str(work)) for part in command])
    count, moments.wanted = moments.met, 0
    (work / "moments").write_text(str(count))


def _forked(pristine: Path, work: Path, wanted: int, command: list[str]) -> None:
    shutil.copytree(pristine, work)
    child = os.fork()
    if child == 0:
        try:
            _run(work, wanted, command)
        finally:
            os._exit(0)
    os.waitpid(child, 0)


def main(pristine: Path, into: Path, places: int, command: list[str]) -> None:
    commands = (f"api.commands.{found.name}" for found in iter_modules(api.commands.__path__))
    for module in ("api.cli", "api.nightly_backup", *commands):  # once: loading takes longer than a command
        import_module(module)

    _forked(pristine, into / "whole", 0, command)
    met = int((into / "whole" / "moments").read_text())
    places = min(places, met)
    for wanted in sorted({1 + (met - 1) * place // max(places - 1, 1) for place in range(places)}):
        _forked(pristine, into / str(wanted), wanted, command)


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3]), sys.argv[4:])
