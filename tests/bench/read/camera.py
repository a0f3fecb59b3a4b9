"""A camera in a bay: tilt, perspective, blur, glare, dark, grain and JPEG, drawn from a seed."""

from __future__ import annotations

import io
from dataclasses import dataclass
from random import Random

import numpy as np
from PIL import Image, ImageFilter

TROUBLES = ("plain", "tilt", "blur", "glare", "dark", "several")


@dataclass(frozen=True, slots=True)
class Photo:
    """What the camera took, and what was the matter."""

    data: bytes
    trouble: str


def taken(flat: Image.Image, draw: Random, trouble: str) -> Photo:
    """A JPEG of some 1,600 pixels across, the thing not filling it."""
    some = draw.sample(("tilt", "blur", "glare", "dark"), 2) if trouble == "several" else [trouble]
    wide = int(flat.width / draw.uniform(0.72, 0.9))
    high = max(int(wide * 0.75), int(flat.height * 1.15))
    view = Image.new("L", (wide, high), draw.randrange(70, 150))
    view.paste(flat, ((wide - flat.width) // 2, (high - flat.height) // 2))
    seen = np.asarray(_turned(view, draw, "tilt" in some), dtype=float)
    seen = _lit(seen, draw, "dark" in some)
    if "glare" in some:
        seen = _with_glare(seen, draw)
    picture = Image.fromarray(np.clip(seen, 0, 255).astype("uint8"))
    picture = picture.resize((1600, int(1600 * picture.height / picture.width)), Image.Resampling.LANCZOS)
    blur = draw.uniform(1.4, 2.2) if "blur" in some else draw.uniform(0.3, 0.8)
    picture = picture.filter(ImageFilter.GaussianBlur(blur))
    grain = np.random.default_rng(draw.randrange(1 << 30)).normal(
        0, 7 if "dark" in some else 3, picture.size[::-1]
    )
    picture = Image.fromarray(np.clip(np.asarray(picture, dtype=float) + grain, 0, 255).astype("uint8"))
    out = io.BytesIO()
    picture.convert("RGB").save(out, "JPEG", quality=draw.randrange(68, 90))
    return Photo(out.getvalue(), trouble)


def _turned(view: Image.Image, draw: Random, much: bool) -> Image.Image:
    """Held askew (up to 14 degrees) and from the side (up to 12 in 100 narrower at one end)."""
    degrees = draw.uniform(5, 14) * draw.choice((-1, 1)) if much else draw.uniform(-2, 2)
    ground = int(np.asarray(view)[0, 0])
    turned = view.rotate(degrees, Image.Resampling.BICUBIC, expand=True, fillcolor=ground)
    wide, high = turned.size
    by = high * (draw.uniform(0.04, 0.12) if much else draw.uniform(0, 0.02))
    corners = (
        (0, -by, 0, high + by, wide, high, wide, 0)
        if draw.random() < 0.5
        else (0, 0, 0, high, wide, high + by, wide, -by)
    )
    return turned.transform(
        turned.size, Image.Transform.QUAD, corners, Image.Resampling.BICUBIC, fillcolor=ground
    )


def _lit(seen: np.ndarray, draw: Random, dark: bool) -> np.ndarray:
    """Light that falls off to one side; in the dark a quarter to two fifths of it."""
    across = np.linspace(1, draw.uniform(0.75, 1), seen.shape[1])
    return (
        seen
        * (across if draw.random() < 0.5 else across[::-1])
        * (draw.uniform(0.22, 0.42) if dark else 0.95)
    )


def _with_glare(seen: np.ndarray, draw: Random) -> np.ndarray:
    """A lamp's soft oval, somewhere on the thing: at its middle 70 to 95 in 100 of the contrast is gone."""
    high, wide = seen.shape
    y, x = np.mgrid[0:high, 0:wide]
    at_x, at_y = draw.uniform(0.2, 0.8) * wide, draw.uniform(0.3, 0.7) * high
    far = ((x - at_x) / (wide * draw.uniform(0.1, 0.2))) ** 2 + (
        (y - at_y) / (high * draw.uniform(0.08, 0.16))
    ) ** 2
    veil = draw.uniform(0.7, 0.95) * np.exp(-far)
    return seen * (1 - veil) + 255 * veil
