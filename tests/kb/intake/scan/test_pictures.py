"""Photos of labels as a camera takes them: drawn, tilted, blurred, noisy; and files that are no photo."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PIL import Image

from kb.errors import Unreadable
from kb.intake.scan import pictures
from tests.kb.intake.scan.drawn_photos import file_of, label, png_that_promises

VIN = "1NVAL45C7FR018832"


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
