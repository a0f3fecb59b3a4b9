"""The guide: its contents, and a page each for the three people and for whoever runs the program."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from kb.errors import NotFound
from web.visits import Anybody

router = APIRouter()

PAGES = (
    ("technician", "At the vehicle", "for the technician: concern, checks, programming, did it cure"),
    ("lead", "The lead's desk", "for the lead technician: notes, imports, checks, sign-offs"),
    ("owner", "The owner", "once a week: what cures, what costs, whether it is safe"),
    ("running", "On the shop's PC", "install, first start, people, tablets"),
    ("keeping", "Keeping it", "backup, restore, upgrade, move to another PC"),
    ("new", "What is new", "what changed, by date"),
)
"""Name in the address and of the template, title, what it is about."""


@router.get("/guide")
def contents(visit: Anybody) -> Response:
    return visit.page("guide/contents.html", guide_pages=PAGES)


@router.get("/guide/{name}")
def one(visit: Anybody, name: str) -> Response:
    if name not in {known for known, _, _ in PAGES}:
        raise NotFound("The guide has no such page. Its contents are at /guide.")
    return visit.page(f"guide/{name}.html")
