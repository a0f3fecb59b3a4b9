"""`packages`: what else is installed for the program, why, and under which licence it may be passed on."""

from __future__ import annotations

import argparse
from dataclasses import asdict

from api.commands import say, say_json
from api.packages import Package, installed
from api.settings import ProcessSettings


def packages(_process: ProcessSettings, asked: argparse.Namespace) -> int:
    """Print them, and by name those with a copyleft licence."""
    found = installed()
    if asked.json:
        say_json({"packages": [asdict(one) | {"copyleft": one.copyleft} for one in found]})
        return 0
    for one in found:
        say(f"{one.name} {one.version}, {_megabytes(one.size)}, {one.licence}: {one.needed_for}")
    say(f"\n{len(found)} packages, {_megabytes(sum(one.size for one in found))}.")
    say(_of_copyleft(found))
    return 0


def _of_copyleft(found: tuple[Package, ...]) -> str:
    named = [f"{one.name}: {one.copyleft}" for one in found if one.copyleft]
    if not named:
        return "None of them says that it is under a copyleft licence."
    return "Under a copyleft licence, which asks something of whoever passes it on:\n" + "\n".join(named)


def _megabytes(size: int) -> str:
    return f"{size / 1e6:.1f} MB"
