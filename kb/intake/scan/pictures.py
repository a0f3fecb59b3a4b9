"""A photo of a label or a screen: the bar and 2-D codes in it and, where the extra is there, its letters.

Bounded before anything is decoded: by kind and by the pixels that its head promises. One file is read at a
time, a photo to no more than `_LONGEST_SIDE`, so that memory stays the same however many come.
"""

from __future__ import annotations

import importlib
import io
import threading
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import zxingcpp
from PIL import Image, ImageOps

from kb.errors import NotReady, Unreadable

MOST_PIXELS = 50_000_000
_LONGEST_SIDE = 4000
_KINDS = ("JPEG", "PNG", "WEBP")
_SIDE_WHEN_TILTED = 1400
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
_recognizers: list[Any] = []
_LEAST_SURE = 0.5
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


def codes_in(picture: Image.Image) -> tuple[str, ...]:
    """The texts of the bar and 2-D codes; of a photo that holds none as it is, tilted a little each way."""
    if found := _codes_in(picture):
        return found
    small = picture.copy()
    small.thumbnail((_SIDE_WHEN_TILTED, _SIDE_WHEN_TILTED))
    tilted = (small.rotate(by, Image.Resampling.BILINEAR, expand=True, fillcolor=128) for by in _TILTS)
    return next(filter(None, map(_codes_in, tilted)), ())


def _codes_in(picture: Image.Image) -> tuple[str, ...]:
    formats = zxingcpp.BarcodeFormats(_FORMATS)
    found = zxingcpp.read_barcodes(picture, formats=formats, text_mode=zxingcpp.TextMode.Plain)
    return tuple(dict.fromkeys(one.text for one in found if one.text.strip()))


def letters_can_be_read() -> bool:
    """Whether the extra `[photo]` is installed."""
    return _recognizer() is not None


def letters_in(picture: Image.Image) -> str:
    """The lines of text that are recognized, as they stand: what is beside each other on one line."""
    recognize = _recognizer()
    if recognize is None:
        return ""
    numpy = importlib.import_module("numpy")
    small = picture.copy()
    small.thumbnail((2000, 2000))
    result, _ = recognize(numpy.asarray(small.convert("RGB")))
    return _in_lines([(box, str(words)) for box, words, sure in result or () if float(sure) >= _LEAST_SURE])


def opened(name: str, data: bytes) -> Image.Image:
    """The photo upright and in gray. Raises Unreadable where it is none, damaged or too large in pixels."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            picture = Image.open(io.BytesIO(data), formats=_KINDS)
        if picture.width * picture.height > MOST_PIXELS:
            raise Unreadable(
                f"{name} has {picture.width * picture.height / 1e6:,.0f} million pixels; at most "
                f"{MOST_PIXELS // 1_000_000} are read. Take the photo closer, with a smaller picture size."
            )
        picture.draft("L", (_LONGEST_SIDE // 2, _LONGEST_SIDE // 2))
        gray = picture.convert("L")
        turned = picture.getexif().get(_ORIENTATION, 1)
        picture.close()
        gray.thumbnail((_LONGEST_SIDE, _LONGEST_SIDE))
        if turned != 1:
            gray.getexif()[_ORIENTATION] = turned
            ImageOps.exif_transpose(gray, in_place=True)
    except Image.DecompressionBombError as bomb:
        raise Unreadable(
            f"{name} is too large a picture. Take the photo with a smaller picture size."
        ) from bomb
    except (OSError, ValueError, SyntaxError, EOFError, MemoryError) as damage:
        raise Unreadable(f"{name} {_NO_PICTURE}") from damage
    return gray


def _recognizer() -> Any:
    if not _recognizers:
        try:
            _recognizers.append(importlib.import_module("rapidocr_onnxruntime").RapidOCR())
        except ImportError:
            return None
    return _recognizers[0]


def _in_lines(pieces: Sequence[tuple[Sequence[Sequence[float]], str]]) -> str:
    """Pieces of text by their boxes: from top to bottom, and from left to right where they overlap."""
    lines: list[tuple[float, float, list[tuple[float, str]]]] = []
    for box, words in sorted(pieces, key=lambda one: sum(point[1] for point in one[0])):
        middle = sum(point[1] for point in box) / 4
        height = max(point[1] for point in box) - min(point[1] for point in box)
        if lines and abs(lines[-1][0] - middle) < max(height, lines[-1][1]) / 2:
            lines[-1][2].append((box[0][0], words))
        else:
            lines.append((middle, height, [(box[0][0], words)]))
    return "\n".join("  ".join(words for _, words in sorted(line)) for _, _, line in lines)
