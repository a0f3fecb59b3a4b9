"""Files that no camera made, and thirty at once: what is said, and what it does to memory."""

from __future__ import annotations

import io
import resource
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
from PIL import Image

from kb.desk.bay.seen.reading_scans import SeenFile, read_scans
from kb.errors import KbError
from tests.kb.intake.scan.drawn_photos import png_that_promises


def noise(wide: int, high: int) -> bytes:
    """A JPEG that cannot be made smaller."""
    out = io.BytesIO()
    grain = np.random.default_rng(3).integers(0, 255, (high, wide, 3), dtype="uint8")
    Image.fromarray(grain).save(out, "JPEG", quality=95)
    return out.getvalue()


def files() -> dict[str, bytes]:
    plain = io.BytesIO()
    Image.new("RGB", (8000, 6000), (200, 200, 200)).save(plain, "PNG")
    return {
        "40 MB photo": b"\xff\xd8\xff" + bytes(40 << 20),
        "bomb of 3,600 megapixels": png_that_promises(60_000, 60_000),
        "bomb of 150 megapixels": png_that_promises(15_000, 10_000),
        "no picture": b"meow " * 1000,
        "cut off": noise(1600, 1200)[:200_000],
        "48 megapixels, plain": plain.getvalue(),
        "12 megapixels of noise": noise(4000, 3000),
    }


def memory() -> tuple[float, float]:
    """Of this process in MB: now, and the most so far."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * resource.getpagesize() / 1e6, resource.getrusage(
        resource.RUSAGE_SELF
    ).ru_maxrss * 1024 / 1e6


def run() -> None:
    print("files that are no usual photo")
    for name, data in files().items():
        _one(name, [SeenFile(f"{name}.jpg", io.BytesIO(data))])
    photo = noise(4000, 3000)
    with ThreadPoolExecutor(30) as people:
        began = time.perf_counter()
        said = list(people.map(lambda _: _said([SeenFile("photo.jpg", io.BytesIO(photo))]), range(30)))
    print(
        f"  thirty of 12 megapixels at once: {time.perf_counter() - began:.0f} s, {_megabytes()}; {set(said)}"
    )


def _one(name: str, sent: list[SeenFile]) -> None:
    began = time.perf_counter()
    said = _said(sent)
    print(f"  {name}: {time.perf_counter() - began:.1f} s, {_megabytes()}; {said}")


def _megabytes() -> str:
    now, most = memory()
    return f"{now:.0f} MB now, {most:.0f} at most"


def _said(sent: list[SeenFile]) -> str:
    try:
        return read_scans("", sent).message or "read"
    except KbError as refused:
        return refused.message
