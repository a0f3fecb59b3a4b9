"""The guide: its contents, and a page each for the three people and for whoever runs the program."""

from __future__ import annotations

import struct
from functools import cache
from importlib.resources import files

from fastapi import APIRouter
from starlette.responses import Response

from kb.errors import NotFound
from web.visits import Anybody

router = APIRouter()

PAGES = (
    ("technician", "At the vehicle", "for the technician: concern, checks, programming, did it cure"),
    ("lead", "The lead's desk", "for the lead technician: notes, imports, checks, sign-offs"),
    ("owner", "The owner", "once a week: what cures, what costs, whether it is safe"),
    ("running", "On the shop's PC", "install, first start, the owner's account, people"),
    ("tablets", "Tablets and phones", "let them in, have them trust the shop, share one by PIN"),
    ("keeping", "Keeping it", "backup, restore, upgrade, move to another PC"),
    ("new", "What is new", "what changed, by date"),
)
"""Name in the address and of the template, title, what it is about."""
_PIXELS = 2  # of a picture to a CSS pixel


@router.get("/guide")
def contents(visit: Anybody) -> Response:
    return visit.page("guide/contents.html", guide_pages=PAGES)


@router.get("/guide/{name}")
def one(visit: Anybody, name: str) -> Response:
    if name not in {known for known, _, _ in PAGES}:
        raise NotFound("The guide has no such page. Its contents are at /guide.")
    return visit.page(f"guide/{name}.html", size_of=size_of)


@cache
def size_of(picture: str) -> tuple[int, int]:
    """Width and height in CSS pixels, by the IHDR chunk (https://www.w3.org/TR/png-3/#11IHDR)."""
    header = (files("web") / "static" / "guide" / f"{picture}.png").read_bytes()[16:24]
    width, height = struct.unpack(">II", header)
    return width // _PIXELS, height // _PIXELS
