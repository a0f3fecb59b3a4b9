"""`service`: what a computer needs to start Beforeflash by itself, printed to be read first."""

from __future__ import annotations

import argparse
import shutil
import sys
from collections.abc import Callable
from pathlib import Path

from api.commands import say
from api.service import Installed, container, systemd, windows
from api.settings import ProcessSettings

KINDS: dict[str, Callable[[Installed], str]] = {
    "systemd": systemd.written,
    "windows": windows.written,
    "container": container.written,
}


def service(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """Print one of KINDS; without a name the one of this system. Nothing is installed."""
    process = process.at(None, asked.port, https=asked.https)
    kind = asked.kind or ("windows" if sys.platform == "win32" else "systemd")
    secured = process.https_port if process.https else None
    installed = Installed(_command(), process.data_folder, process.port, process.shop_file.exists(), secured)
    say(KINDS[kind](installed).rstrip())
    return 0


def _command() -> Path:
    """The `beforeflash` that is run now."""
    beside = Path(sys.argv[0])
    if beside.stem == "beforeflash" and beside.is_file():
        return beside.absolute()
    return Path(shutil.which("beforeflash") or Path(sys.executable).with_name("beforeflash")).absolute()
