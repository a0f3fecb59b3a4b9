"""The concerns behind a number of the advice, as bodies."""

from __future__ import annotations

from api.schemas.base import Out
from api.schemas.concern_views import ConcernLineOut


class GroupOut(Out):
    """Concerns that say the same: how many, and the newest 200 of them."""

    title: str
    count: int
    lines: list[ConcernLineOut]


class EvidenceBehindOut(Out):
    """The guess that an evidence starts from, in words, and the closed concerns that have counted; of a start
    also how it adds up.
    """

    title: str
    guess: str
    groups: list[GroupOut]
    adds_up: str
