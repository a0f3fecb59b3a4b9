"""Photos of labels as a camera takes them: drawn, tilted, blurred, noisy; and files that are no photo."""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Callable

import numpy as np
import pytest
import zxingcpp
from PIL import Image, ImageFilter

from kb.errors import Unreadable
from kb.intake.scan import pictures

VIN = "1NVAL45C7FR018832"


def label(
    content: str, kind: str, *, tilt: float = 0.0, blur: float = 0.0, noise: float = 0.0, dark: float = 1.0
) -> Image.Image:
    """A label with one code on a gray ground."""
    drawn = zxingcpp.create_barcode(content, getattr(zxingcpp.BarcodeFormat, kind)).to_image(scale=4)
    code = Image.fromarray(np.array(drawn)).convert("L")
    code = code.resize((code.width, max(code.height, 120)))
    ground = Image.new("L", (code.width + 300, code.height + 300), 215)
    ground.paste(code, (150, 150))
    ground = ground.rotate(tilt, expand=True, fillcolor=150).filter(ImageFilter.GaussianBlur(blur))
    grain = np.random.default_rng(7).normal(0, noise, (ground.height, ground.width)) if noise else 0
    return Image.fromarray(np.clip(np.array(ground) * dark + grain, 0, 255).astype("uint8"))


def file_of(picture: Image.Image, kind: str = "JPEG", **more: object) -> bytes:
    out = io.BytesIO()
    picture.save(out, kind, **more)
    return out.getvalue()


@pytest.mark.parametrize("kind", ["Code39", "Code128", "DataMatrix", "QRCode"])
@pytest.mark.parametrize(
    "seen",
    [
        {},
        {"tilt": 8},
        {"tilt": -12, "blur": 1},
        {"blur": 1.5, "noise": 12},
        {"dark": 0.35, "noise": 6},
        {"tilt": 90},
    ],
)
def test_the_code_of_a_label_is_read_as_a_camera_takes_it(kind: str, seen: dict[str, float]) -> None:
    for form, opened in (("JPEG", "JPEG"), ("PNG", "PNG"), ("WEBP", "WEBP")):
        photo = pictures.opened(opened, file_of(label(VIN, kind, **seen), form))
        assert pictures.codes_in(photo) == (VIN,)


def test_a_photo_stands_upright_whichever_way_the_camera_was_held() -> None:
    tall = Image.new("L", (400, 200), 255)
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by 90 degrees (Exif 2.3, table of orientation)
    assert pictures.opened("x.jpg", file_of(tall, exif=exif)).size == (200, 400)


def png_that_promises(width: int, height: int) -> bytes:
    """A PNG of a few bytes whose head promises many pixels: 8 bytes of signature, then IHDR (PNG, 11.2.2)."""
    head = b"IHDR" + struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    chunk = struct.pack(">I", 13) + head + struct.pack(">I", zlib.crc32(head))
    return (
        b"\x89PNG\r\n\x1a\n" + chunk + struct.pack(">I", 0) + b"IDAT" + struct.pack(">I", zlib.crc32(b"IDAT"))
    )


@pytest.mark.parametrize(
    ("made", "said"),
    [
        (lambda: b"not a photo at all", "no photo that can be read"),
        (lambda: b"\xff\xd8\xff" + bytes(200), "no photo that can be read"),
        (lambda: file_of(Image.new("L", (600, 600)))[:900], "no photo that can be read"),
        (lambda: png_that_promises(9_000, 9_000), "81 million pixels; at most 50"),
        (lambda: png_that_promises(60_000, 60_000), "too large a picture"),
        (lambda: file_of(Image.new("L", (20, 20)), "GIF"), "JPEG, PNG or WebP"),
    ],
)
def test_what_is_no_photo_or_too_large_is_refused_in_a_sentence(made: Callable[[], bytes], said: str) -> None:
    with pytest.raises(Unreadable, match=said):
        pictures.opened("door.jpg", made())
