"""Suggestions while somebody types: trouble codes that the shop has met before."""

from __future__ import annotations

from dataclasses import dataclass

from kb.desk.context import Desk, anyone_in_the_shop
from kb.records.store.bay import suggestions as store

LEAST = 3
_MOST = 8


@dataclass(frozen=True, slots=True)
class KnownCode:
    """A trouble code, and how many notes and concerns name it."""

    code: str
    named: int


@anyone_in_the_shop
def suggest_codes(desk: Desk, typed: str) -> tuple[KnownCode, ...]:
    """Codes that begin as typed, from three characters on, the most frequent first."""
    start = typed.strip().upper()
    if len(start) < LEAST:
        return ()
    found = store.codes_beginning(desk.session, desk.shop.id, start, _MOST)
    return tuple(KnownCode(code, count) for code, count in found)
