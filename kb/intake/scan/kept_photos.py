"""A photo as it is kept: upright, of a size in which letters are read, without what the camera wrote into it.

A camera writes place, device and a small copy into a file; none of it goes with the pixels.
"""

from __future__ import annotations

import hashlib
import io
from dataclasses import dataclass

from PIL import Image

from kb.intake.scan.pictures import LONGEST_READ, decoded

LONGEST_SIDE = 2000
SMALL_SIDE = 640
_QUALITY, _SMALL_QUALITY = 85, 75


@dataclass(frozen=True, slots=True)
class PhotoToKeep:
    """A JPEG, its small copy, width and height in pixels, and the marks of what was sent and what is kept."""

    content: bytes
    small: bytes
    width: int
    height: int
    sha256: str
    sent_sha256: str


def to_keep(name: str, data: bytes) -> PhotoToKeep:
    """Raises Unreadable where it is no photo, damaged or too large in pixels."""
    return _of(decoded(name, data, "RGB", LONGEST_SIDE), data)


def to_keep_and_read(name: str, data: bytes) -> tuple[PhotoToKeep, Image.Image]:
    """The photo as it is kept, and in gray as it is read, decoded once. Raises Unreadable as `to_keep`."""
    picture = decoded(name, data, "RGB", LONGEST_READ)
    gray = picture.convert("L")
    picture.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    return _of(picture, data), gray


def _of(picture: Image.Image, data: bytes) -> PhotoToKeep:
    content = _jpeg(picture, _QUALITY)
    width, height = picture.size
    picture.thumbnail((SMALL_SIDE, SMALL_SIDE))
    small = _jpeg(picture, _SMALL_QUALITY)
    return PhotoToKeep(content, small, width, height, _mark(content), _mark(data))


def _jpeg(picture: Image.Image, quality: int) -> bytes:
    out = io.BytesIO()
    pixels_alone = Image.frombytes(picture.mode, picture.size, picture.tobytes())
    pixels_alone.save(out, "JPEG", quality=quality, optimize=True)
    return out.getvalue()


def _mark(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
