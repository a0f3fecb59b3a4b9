"""`trail`: who did what, and whether the trail still hangs together."""

from __future__ import annotations

import argparse
from contextlib import closing
from dataclasses import asdict

from api.commands import say, say_aside, say_json
from api.settings import ProcessSettings
from kb.desk.access import trail as desk_trail
from kb.desk.context import CONSOLE, RunningShop
from kb.errors import NotDone
from kb.nouns.shop.trail import TrailAsked, TrailCheck, TrailLine

BROKEN = 1
"""Exit code where a line does not hold."""


def trail(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """The newest lines; with --verify whether all hold: 0, or BROKEN and the first that does not."""
    with closing(RunningShop.look_at(process.shop_url)) as shop:
        if asked.verify or asked.noted:
            return _verify(shop, asked)
        with shop.reading(CONSOLE) as desk:
            lines = desk_trail.read_trail(desk, TrailAsked(who=asked.who)).lines
        if asked.json:
            say_json([asdict(one) for one in lines])
        else:
            for one in lines:
                say(_as_line(shop, one))
    return 0


def of_trail(url: str) -> TrailCheck:
    """Whether the trail of the shop there holds."""
    with closing(RunningShop.look_at(url)) as shop, shop.reading(CONSOLE) as desk:
        return desk_trail.check_trail(desk)


def _verify(shop: RunningShop, asked: argparse.Namespace) -> int:
    with shop.reading(CONSOLE) as desk:
        check = desk_trail.check_trail(desk, asked.noted)
    try:
        with shop.writing(CONSOLE) as desk:
            desk_trail.note_check(desk, check)
    except NotDone as refused:
        say_aside(f"beforeflash: that it was checked could not be noted. {refused.message}")
    short = check.seal[: desk_trail.SHOWN_OF_A_SEAL]
    if asked.json:
        say_json({"holds": check.holds, **asdict(check), "seal": short})
    else:
        say(check.says)
        if check.holds and check.lines:
            say(f"Seal of the last line: {short}. Note it: `trail --verify --noted {short}` finds it.")
        if not check.holds:
            say("Put a backup of before into another folder (BEFOREFLASH_DATA) to compare with.")
    return 0 if check.holds else BROKEN


def _as_line(shop: RunningShop, one: TrailLine) -> str:
    when = one.at.astimezone(shop.facts.zone)
    thing = one.noun if one.noun_id is None else f"{one.noun} {one.noun_id}"
    return f"{one.id}\t{when:%Y-%m-%d %H:%M}\t{one.who}\t{one.said} {thing}"
