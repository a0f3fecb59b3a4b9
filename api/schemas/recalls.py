"""Recalls and campaigns of a concern's vehicle."""

from __future__ import annotations

from datetime import date
from typing import Literal

from api.schemas.base import In, Out
from kb.nouns.recalls import SAID, RecallsOfConcern


class RecallBody(In):
    """What the look-up by VIN said of one; empty takes it back.

    `touches`: whether it touches this module or concern, where you know better than the words it shares.
    """

    result: Literal["open", "not_for_this_vin", "done", ""]
    touches: bool | None = None


class RecallLookUpBody(In):
    """What the look-up by VIN said of all of them; empty takes it back."""

    result: Literal["none_open", ""]


class RecallOut(Out):
    """A recall or campaign as it stands. `note` null: not on file here. `shares`: words that it shares."""

    number: str
    note: int | None
    title: str
    kind: str
    applies: str
    standing: str
    touches: bool
    shares: list[str]
    result: str
    by: str
    on: date | None


class NoneOpenOut(Out):
    """The look-up by VIN that found none open."""

    by: str
    on: date


class RecallsOut(Out):
    """Open ones first, then those that touch this module or concern. `gate`: fine, fault, empty: not checked.

    `said` are sentences that go with them.
    """

    recalls: list[RecallOut]
    on_file: int
    none_open: NoneOpenOut | None
    gate: str
    said: list[str]

    @classmethod
    def of_concern(cls, found: RecallsOfConcern) -> RecallsOut:
        recalls = [RecallOut.of(one, note=one.note_id) for one in found.recalls]
        return cls.of(found, recalls=recalls, said=SAID)
