"""`service`: what a computer needs to start Beforeflash by itself, printed to be read first."""

from __future__ import annotations

import argparse
import shutil
import sys
from collections.abc import Callable
from pathlib import Path

from api.commands import say
from api.connection.https_only import refuse_what_is_open
from api.service import Installed, container, systemd, windows
from api.settings import BadSettings, ProcessSettings

KINDS: dict[str, Callable[[Installed], str]] = {
    "systemd": systemd.written,
    "windows": windows.written,
    "container": container.written,
}
_PROXYS_WORK = (
    "In a container a proxy gives HTTPS: have it take nothing without, and leave --https-only away."
)


def service(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """Print one of KINDS; without a name the one of this system. Nothing is installed.

    Raises BadSettings where what is asked for would not start.
    """
    process = process.at(None, asked.port, https=asked.https, https_only=asked.https_only)
    kind = asked.kind or ("windows" if sys.platform == "win32" else "systemd")
    if kind == "container" and process.https_only:
        raise BadSettings(_PROXYS_WORK)
    refuse_what_is_open(process, process.shop_url)
    installed = Installed(
        _command(),
        process.data_folder,
        process.port,
        process.shop_file.exists(),
        process.https_port if process.https else None,
        process.https_only,
        ",".join(map(str, process.proxies)),
    )
    say(KINDS[kind](installed).rstrip())
    return 0


def _command() -> Path:
    """The `beforeflash` that is run now."""
    beside = Path(sys.argv[0])
    if beside.stem == "beforeflash" and beside.is_file():
        return beside.absolute()
    return Path(shutil.which("beforeflash") or Path(sys.executable).with_name("beforeflash")).absolute()
