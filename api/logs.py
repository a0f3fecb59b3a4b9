"""What the server writes to its log (standard error): one line an event, without anybody's data.

A line says when, how grave, what happened in words that stand in the program, and the number of the request.
Of an error it says the kind, the database's own code and where in the program it was, never its text: that
may hold names, VINs, complaints or tokens.
"""

from __future__ import annotations

import json
import logging
import sys
import traceback
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from api.request_log import current
from api.settings import LogSettings

_MOST_PLACES = 12
_FROM = ("api", "kb", "web", "demo_data")
OF_THE_PROGRAM = "beforeflash"
_SAID_ALREADY = "Exception in ASGI application"  # the server's line for what the application has logged


def set_up(wanted: LogSettings) -> None:
    """Let every logger of this process, also of the packages, write so."""
    handler = logging.StreamHandler(sys.stderr)
    handler.addFilter(lambda record: not str(record.msg).startswith(_SAID_ALREADY))
    handler.setFormatter(_Json() if wanted.json else _Words())
    logging.basicConfig(handlers=[handler], level=logging.WARNING, force=True)
    logging.getLogger(OF_THE_PROGRAM).setLevel(logging.INFO if wanted.requests else logging.WARNING)


class _Json(logging.Formatter):
    def format(self, record: logging.LogRecord) -> str:
        return json.dumps(told(record))


class _Words(logging.Formatter):
    def format(self, record: logging.LogRecord) -> str:
        return " ".join(f"{name}={_word(value)}" for name, value in told(record).items())


def told(record: logging.LogRecord) -> dict[str, Any]:
    """The fields of a line, in their order; empty ones are left out."""
    ours = record.name.split(".")[0] == OF_THE_PROGRAM
    fields: dict[str, Any] = {
        "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
        "level": record.levelname.lower(),
        "from": record.name,
        # Packages put into their words what they were sent.
        "says": record.getMessage() if ours else str(record.msg).partition("\n")[0][:120],
        "request": current.get(),
        **_mapping(getattr(record, "told", None)),
    }
    if record.exc_info and record.exc_info[1] is not None:
        fields |= _of_error(record.exc_info[1])
    return {name: value for name, value in fields.items() if value not in ("", None, [])}


def _of_error(error: BaseException) -> dict[str, Any]:
    kinds: list[str] = []
    codes: list[str] = []
    one: BaseException | None = error
    while one is not None and len(kinds) < _MOST_PLACES:
        kinds.append(type(one).__name__)
        codes += [str(code) for code in _codes(one) if str(code) not in codes]
        one = one.__cause__ or one.__context__
    places = [
        f"{frame.filename}:{frame.lineno} {frame.name}" for frame in traceback.extract_tb(error.__traceback__)
    ]
    ours = [_short(place) for place in places if any(f"/{top}/" in place.replace("\\", "/") for top in _FROM)]
    return {"error": kinds, "code": codes, "where": (ours or [_short(one) for one in places])[-_MOST_PLACES:]}


def _codes(error: BaseException) -> list[Any]:
    """The database's or the system's own code of what was wrong."""
    cause = getattr(error, "orig", error)
    names = ("sqlite_errorname", "sqlstate", "errno")
    return [code for name in names if (code := getattr(cause, name, None)) is not None]


def _short(place: str) -> str:
    """From the folder of the program on: where it is installed is nobody's business."""
    parts = place.replace("\\", "/").split("/")
    at = max((parts.index(top) for top in _FROM if top in parts), default=len(parts) - 1)
    return "/".join(parts[at:])


def _mapping(value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, Mapping) else {}


def _word(value: Any) -> str:
    said = ";".join(map(str, value)) if isinstance(value, list) else str(value)
    return json.dumps(said) if not said or set(said) & set(' "=\n') else said
