"""A photo of a label or a screen as it is opened, and the bar and 2-D codes in it.

Bounded before anything is decoded: by kind and by the pixels that its head promises. One file is read at a
time, a photo to no more than a longest side, so that memory stays the same however many come.
"""

from __future__ import annotations

import io
import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Literal

import zxingcpp
from PIL import Image, ImageFilter, ImageOps

from kb.errors import NotReady, Unreadable

MOST_PIXELS = 50_000_000
LONGEST_READ = 4000
_KINDS = ("JPEG", "PNG", "WEBP")
_SIDE_WHEN_TILTED = 1400
_SIDE_TO_SHARPEN = 1800
_SHARPENED = ((4, 200), (2, 800), (8, 400))
"""Radius and percent, by which blurred bar codes of drawn photos came back."""
_TILTS = (12, -12, 24, -24)
"""Degrees; a bar code is found within some ten degrees of upright."""
_WAIT_SECONDS = 30
_NO_PICTURE = (
    "is no photo that can be read here, or it is damaged. Choose a JPEG, PNG or WebP photo, a PDF or a text "
    "file."
)
_FORMATS = (
    zxingcpp.BarcodeFormat.Code39,
    zxingcpp.BarcodeFormat.Code128,
    zxingcpp.BarcodeFormat.DataMatrix,
    zxingcpp.BarcodeFormat.QRCode,
)
_one_at_a_time = threading.Lock()
_ORIENTATION = 0x0112
"""The tag of Exif that says how the camera was held."""


@contextmanager
def in_turn() -> Iterator[None]:
    """One file at a time. Raises NotReady where others are read for longer than somebody waits."""
    if not _one_at_a_time.acquire(timeout=_WAIT_SECONDS):
        raise NotReady("Other photos are being read. Try again in a moment.", details={"retry_after": 5})
    try:
        yield
    finally:
        _one_at_a_time.release()


def codes_at_once(picture: Image.Image) -> tuple[str, ...]:
    """The texts of the bar and 2-D codes of a photo as it is, or a little softened (grain of a dark one)."""
    return _codes_in(picture) or _codes_in(picture.filter(ImageFilter.GaussianBlur(1)))


def codes_in(picture: Image.Image) -> tuple[str, ...]:
    """The same; of a photo that holds none so, sharpened (out of focus) and tilted a little each way."""
    return codes_at_once(picture) or next(filter(None, map(_codes_in, _other_views(picture))), ())


def _other_views(picture: Image.Image) -> Iterator[Image.Image]:
    small = picture.copy()
    small.thumbnail((_SIDE_TO_SHARPEN, _SIDE_TO_SHARPEN))
    twice = small.resize((small.width * 2, small.height * 2), Image.Resampling.BICUBIC)
    for radius, percent in _SHARPENED:
        yield twice.filter(ImageFilter.UnsharpMask(radius, percent, 0))
    small.thumbnail((_SIDE_WHEN_TILTED, _SIDE_WHEN_TILTED))
    for by in _TILTS:
        tilted = small.rotate(by, Image.Resampling.BILINEAR, expand=True, fillcolor=128)
        yield tilted
        yield tilted.filter(ImageFilter.GaussianBlur(1))


def _codes_in(picture: Image.Image) -> tuple[str, ...]:
    formats = zxingcpp.BarcodeFormats(_FORMATS)
    found = zxingcpp.read_barcodes(picture, formats=formats, text_mode=zxingcpp.TextMode.Plain)
    return tuple(dict.fromkeys(one.text for one in found if one.text.strip()))


def opened(name: str, data: bytes) -> Image.Image:
    """The photo upright and in gray, to be read. Raises Unreadable as `decoded`."""
    return decoded(name, data, "L", LONGEST_READ)


def decoded(name: str, data: bytes, mode: Literal["L", "RGB"], longest: int) -> Image.Image:
    """The photo upright, no side longer than `longest`, without what else its file holds.

    Raises Unreadable where it is none, damaged or too large in pixels.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            picture = Image.open(io.BytesIO(data), formats=_KINDS)
        if picture.width * picture.height > MOST_PIXELS:
            raise Unreadable(
                f"{name} has {picture.width * picture.height / 1e6:,.0f} million pixels; at most "
                f"{MOST_PIXELS // 1_000_000} are read. Take the photo closer, with a smaller picture size."
            )
        picture.draft(mode, (longest // 2, longest // 2))
        plain = _on_white(picture).convert(mode)
        turned = picture.getexif().get(_ORIENTATION, 1)
        picture.close()
        plain.thumbnail((longest, longest))
        plain.info.clear()
        if turned != 1:
            plain.getexif()[_ORIENTATION] = turned
            ImageOps.exif_transpose(plain, in_place=True)
    except Image.DecompressionBombError as bomb:
        raise Unreadable(
            f"{name} is too large a picture. Take the photo with a smaller picture size."
        ) from bomb
    except (OSError, ValueError, SyntaxError, EOFError, MemoryError) as damage:
        raise Unreadable(f"{name} {_NO_PICTURE}") from damage
    return plain


def _on_white(picture: Image.Image) -> Image.Image:
    """What is see-through in a screenshot, on white."""
    if not picture.has_transparency_data:
        return picture
    clear = picture.convert("RGBA")
    ground = Image.new("RGBA", clear.size, "white")
    ground.alpha_composite(clear)
    return ground
