"""The seals by which lines of the trail hang together: each over the one before and the line itself.

A line that is changed, taken out or put in breaks the next seal. What these functions give never changes: it
stands in every shop. Of the words of a line (its detail) only a salted hash is sealed, so that the words can
be taken away where somebody's data must go, and the line and all after it still hold.
"""

from __future__ import annotations

import hashlib
import json
import secrets
from collections.abc import Mapping
from datetime import UTC
from typing import Any

NOTHING_BEFORE = ""
"""What stands in for the seal before the first line."""


def new_salt() -> str:
    return secrets.token_hex(16)


def digest_of(salt: str, detail: Mapping[str, Any]) -> str:
    """The same whatever the order of its names, and however a database gives JSON back."""
    plain = json.loads(json.dumps(detail))
    words = json.dumps(plain, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(f"{salt}{words}".encode()).hexdigest()


def seal_of(before: str, line: Mapping[str, Any]) -> str:
    """Over the seal before and the columns of the line; `at` is aware."""
    told = [
        before,
        line["shop_id"],
        line["at"].astimezone(UTC).isoformat(timespec="microseconds"),
        line["user_id"],
        line["who"],
        line["action"],
        line["noun"],
        line["noun_id"],
        line["detail_digest"],
    ]
    return hashlib.sha256(json.dumps(told, separators=(",", ":")).encode()).hexdigest()


def sealed(before: str, line: Mapping[str, Any]) -> dict[str, Any]:
    """The line with a salt, the digest of its detail and its seal."""
    salt = new_salt()
    whole = {**line, "salt": salt, "detail_digest": digest_of(salt, line["detail"])}
    return {**whole, "seal": seal_of(before, whole)}
