"""Which version of the program this is."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, version


def program_version() -> str:
    try:
        return version("beforeflash")
    except PackageNotFoundError:  # run from a folder that was never installed
        return "not installed"
