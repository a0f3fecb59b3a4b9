"""`/healthz` and `/readyz`, for whoever watches the server. Both answer anybody and name nobody's data."""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass, field
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import JSONResponse, Response

from api.connection import certificate_looks
from api.settings import from_environment
from kb.desk.context import RunningShop
from kb.desk.shop import health
from kb.nouns.shop.health import Finding, Gravity

PROGRAM = "beforeflash"
_HELD_SECONDS = 5.0  # so long an answer is given again: each look writes, and anybody may ask
_NO_STORE = {"Cache-Control": "no-store"}
router = APIRouter()


@dataclass(slots=True)
class _LastLook:
    """The last look of this process, and who may look next."""

    at: float = float("-inf")
    findings: tuple[Finding, ...] = ()
    turn: threading.Lock = field(default_factory=threading.Lock)


@router.get("/healthz")
def alive() -> Response:
    """200 while the process answers; the database is not asked."""
    return JSONResponse({"program": PROGRAM, "alive": True}, headers=_NO_STORE)


@router.get("/readyz")
def ready(request: Request) -> Response:
    """200, or 503 with the reasons, where a save would fail. What should be looked at soon is a warning."""
    findings = _look(request)
    reasons = [one.in_public for one in findings if one.gravity is Gravity.BAD]
    warnings = [one.in_public for one in findings if one.gravity is Gravity.WATCH]
    body: dict[str, Any] = {"program": PROGRAM, "ready": not reasons}
    body |= {"reasons": reasons, "warnings": warnings}
    headers = {**_NO_STORE, **({"Retry-After": "30"} if reasons else {})}
    return JSONResponse(body, 503 if reasons else 200, headers=headers)


def _look(request: Request) -> tuple[Finding, ...]:
    state = request.app.state
    if not hasattr(state, "last_look"):
        state.last_look = _LastLook()
    last: _LastLook = state.last_look
    with last.turn:
        if time.monotonic() - last.at > _HELD_SECONDS:
            last.findings = look_over(state.shop)
            last.at = time.monotonic()
        return last.findings


def look_over(shop: RunningShop) -> tuple[Finding, ...]:
    """Whether the shop can work. What cannot be found out is bad: then nothing works."""
    found = []
    for look in (health.can_write, health.tables, health.room_of, health.last_backup):
        try:
            found.append(look(shop))
        except Exception as error:  # a database that is gone raises many things
            said = f"{type(error).__name__} while looking at it."
            found.append(Finding("database", Gravity.BAD, said, "", "The database cannot be read."))
    certificate = certificate_looks.certificate(from_environment(), shop.clock())
    return (*found, *([certificate] if certificate else []))
