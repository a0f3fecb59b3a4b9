"""Labels drawn as a camera takes them, as bytes of a photo, and a picture that promises too many pixels."""

from __future__ import annotations

import io
import struct
import zlib

import numpy as np
import zxingcpp
from PIL import Image, ImageFilter


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


def png_that_promises(width: int, height: int) -> bytes:
    """A PNG of a few bytes whose head promises many pixels: 8 bytes of signature, then IHDR (PNG, 11.2.2)."""
    head = b"IHDR" + struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    chunk = struct.pack(">I", 13) + head + struct.pack(">I", zlib.crc32(head))
    return (
        b"\x89PNG\r\n\x1a\n" + chunk + struct.pack(">I", 0) + b"IDAT" + struct.pack(">I", zlib.crc32(b"IDAT"))
    )
