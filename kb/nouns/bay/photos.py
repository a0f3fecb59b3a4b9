"""Photos that are kept: what stands on one, and what a page or a program is told of it."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from kb.nouns.read_values import ReadKind

_ON_A_SCREEN = frozenset({ReadKind.CODE, ReadKind.CALIBRATION_ID, ReadKind.CVN, ReadKind.VOLTAGE})


class Shows(StrEnum):
    """What a photo is of."""

    LABEL = "label"
    SCREEN = "screen"
    ERROR = "error"
    OTHER = "other"


def shown_by(read: Set[str]) -> Shows:
    """What a photo is of, by the fields that were read of it (the words of `ReadKind`, and vin)."""
    if not read:
        return Shows.OTHER
    return Shows.SCREEN if read & _ON_A_SCREEN else Shows.LABEL


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo on file, without its bytes; width and height in pixels, of what is kept.

    `event_id`: the programming that it was taken at. `concern_id` is null while the concern it was read for
    is not opened.
    """

    id: int
    concern_id: int | None
    event_id: int | None
    shows: Shows
    caption: str
    on_print: bool
    width: int
    height: int
    sha256: str
    kept_by: str
    kept_at: datetime


@dataclass(frozen=True, slots=True)
class PhotoFile:
    """The bytes of a photo, a JPEG, and the mark (quoted, for HTTP) that changes with them."""

    data: bytes
    tag: str
