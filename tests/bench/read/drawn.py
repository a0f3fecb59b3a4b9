"""Labels and screens, drawn flat: what the camera of `camera.py` then takes.

Five kinds of label, five of screen; each says which values stand on it and which in a bar or 2-D code.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random

import numpy as np
import zxingcpp
from PIL import Image, ImageDraw, ImageFont

from tests.bench.read.truth import MODULES, STATES, Car, calibration_id, car, cvn

_FONTS = Path("/usr/share/fonts/truetype/dejavu")
_LABEL_FONTS = (
    "DejaVuSans",
    "DejaVuSans-Bold",
    "DejaVuSansMono",
    "DejaVuSansCondensed",
    "DejaVuSansMono-Bold",
)
_SCREEN_FONTS = (
    "DejaVuSans",
    "DejaVuSansMono",
    "DejaVuSansCondensed",
    "DejaVuSerif",
    "DejaVuSansCondensed-Bold",
)
Value = tuple[str, str]
"""Field and value."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A flat drawing; `values` stand on it, those `in_code` in a bar or 2-D code too."""

    kind: str
    image: Image.Image
    values: frozenset[Value]
    in_code: frozenset[Value]


@cache
def _font(name: str, size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(_FONTS / f"{name}.ttf"), size)


def _code(content: str, kind: str, width: int, height: int) -> Image.Image:
    barcode = zxingcpp.create_barcode(content, getattr(zxingcpp.BarcodeFormat, kind))
    flat = Image.fromarray(np.array(barcode.to_image(scale=4))).convert("L")
    square = kind in ("DataMatrix", "QRCode")
    return flat.resize((height, height) if square else (width, height), Image.Resampling.NEAREST)


def _vin_label(draw: Random) -> Drawn:
    """A door label: the VIN in a code, with its text beside it or without."""
    vin = car(draw, 1).vin
    kind = draw.choice(("Code39", "Code39", "DataMatrix", "QRCode", "Code128"))
    sheet = Image.new("L", (1300, 520), 245)
    pen, font = ImageDraw.Draw(sheet), draw.choice(_LABEL_FONTS)
    pen.text(
        (40, 30),
        f"MFD BY TARN MOTORS  {draw.randrange(1, 13):02}/{draw.randrange(12, 26)}",
        20,
        _font(font, 36),
    )
    pen.text(
        (40, 90),
        f"GVWR {draw.randrange(3900, 6800)} LB   GAWR FRT {draw.randrange(2000, 3300)} LB",
        20,
        _font(font, 32),
    )
    content = f"I{vin}" if kind == "Code39" and draw.random() < 0.5 else vin
    sheet.paste(_code(content, kind, 1100, 190), (60, 170))
    if draw.random() < 0.6:
        pen.text((60 if kind.startswith("Code") else 300, 400), f"VIN: {vin}", 15, _font(font, 56))
    return Drawn("label, VIN in a code", sheet, frozenset({("vin", vin)}), frozenset({("vin", vin)}))


def flat_vin_label(vin: str) -> Image.Image:
    """A label with a VIN in Code 39 and below it."""
    sheet = Image.new("L", (1300, 420), 245)
    sheet.paste(_code(vin, "Code39", 1100, 190), (60, 60))
    ImageDraw.Draw(sheet).text((60, 300), f"VIN: {vin}", 15, _font("DejaVuSansMono", 56))
    return sheet


def _vin_plate(draw: Random) -> Drawn:
    """A plate behind a windshield: letters alone."""
    vin = car(draw, 1).vin
    light = draw.random() < 0.5
    sheet = Image.new("L", (1300, 260), 225 if light else 35)
    said = draw.choice((vin, f"*{vin}*", f"VIN {vin}"))
    pen = ImageDraw.Draw(sheet)
    pen.text(
        (40, 85), said, 25 if light else 225, _font(draw.choice(_LABEL_FONTS), 76 if len(said) < 20 else 66)
    )
    return Drawn("plate, VIN as letters", sheet, frozenset({("vin", vin)}), frozenset())


def _vin_paper(draw: Random) -> Drawn:
    """A registration or a repair order with the VIN among other lines."""
    of = car(draw, 1)
    sheet = Image.new("L", (1300, 620), 250)
    pen, font = ImageDraw.Draw(sheet), draw.choice(_LABEL_FONTS)
    rows = (
        ("Plate", f"{draw.randrange(100, 999)} KTV"),
        ("Make", "NORVANE"),
        ("Model", "ALTO RIDGE"),
        ("VIN", of.vin),
        ("Odometer", f"{of.odometer:,} mi"),
    )
    for n, (label, said) in enumerate(rows):
        pen.text((50, 50 + n * 105), f"{label}:", 60, _font(font, 44))
        pen.text((380, 50 + n * 105), said, 10, _font(font, 52))
    values = frozenset({("vin", of.vin), ("odometer", str(of.odometer))})
    return Drawn("paper, VIN as letters", sheet, values, frozenset())


def _module_label(draw: Random) -> Drawn:
    """The sticker of a module: numbers of hardware and software, calibration ID, a code with a serial."""
    of = car(draw, 1).modules[0]
    sheet = Image.new("L", (1000, 620), 248)
    pen, font = ImageDraw.Draw(sheet), draw.choice(_LABEL_FONTS)
    pen.text((40, 30), f"{MODULES[of.short]} ({of.short})", 20, _font(font, 38))
    for n, said in enumerate((f"HW: {of.hardware}", f"SW: {of.software}", f"CAL ID: {of.ids[0]}")):
        pen.text((40, 120 + n * 90), said, 10, _font(font, 56))
    sheet.paste(_code(f"SN{draw.randrange(10**9, 10**10)}", "DataMatrix", 0, 170), (760, 420))
    values = {
        ("hardware_number", of.hardware),
        ("software_number", of.software),
        ("calibration_id", of.ids[0]),
    }
    return Drawn("label of a module", sheet, frozenset(values), frozenset())


def flat_screen(rows: list[tuple[str, ...]], title: str) -> Image.Image:
    """A bright screen of three columns, the same every time."""
    return _screen(rows, Random(1), title, (40, 350, 900))


def _screen(rows: list[tuple[str, ...]], draw: Random, title: str, at: tuple[int, ...]) -> Image.Image:
    dark = draw.random() < 0.4
    ground, ink, head = (28, 235, 60) if dark else (250, 25, 205)
    sheet = Image.new("L", (1400, max(400, 170 + 74 * len(rows))), ground)
    pen, font = ImageDraw.Draw(sheet), draw.choice(_SCREEN_FONTS)
    pen.rectangle((0, 0, 1400, 90), fill=head)
    pen.text((30, 22), title, ink, _font(font, 42))
    for n, row in enumerate(rows):
        for x, said in zip(at, row, strict=True):
            pen.text((x, 125 + n * 74), said, ink, _font(font, 40))
        pen.line((20, 185 + n * 74, 1380, 185 + n * 74), fill=(ground + ink) // 2)
    return sheet


def _code_list(draw: Random) -> Drawn:
    """Codes in a table under their heads."""
    of = _with_codes(draw)
    rows = [("Module", "Code", "Status")]
    rows += [(m.short, c.code, draw.choice(STATES[c.status])) for m in of.modules for c in m.codes][:9]
    image = _screen(rows, draw, "Trouble codes", (40, 420, 900))
    return Drawn("screen of codes", image, frozenset(("code", row[1]) for row in rows[1:]), frozenset())


def _code_report(draw: Random) -> Drawn:
    """Codes under the names of their modules, with what they mean."""
    of, rows, values = _with_codes(draw), [], set()
    meant = (
        "System too lean",
        "Lost communication",
        "Circuit low",
        "Range or performance",
        "Intermittent signal",
    )
    for one in of.modules[:3]:
        rows.append((f"{MODULES[one.short]} - {one.short}", ""))
        for each in one.codes:
            rows.append((f"   {each.code}  {draw.choice(meant)}", draw.choice(STATES[each.status])))
            values.add(("code", each.code))
    return Drawn(
        "screen of codes by module",
        _screen(rows, draw, f"Scan  {of.vin}", (40, 1080)),
        frozenset(values | {("vin", of.vin)}),
        frozenset(),
    )


def _calibrations(draw: Random) -> Drawn:
    """Modules with their IDs and CVNs, in columns."""
    of, rows, values = car(draw, draw.randrange(2, 5)), [("ECU", "Cal ID", "CVN")], set()
    for one in of.modules:
        for own, verified in zip(one.ids, one.cvns, strict=True):
            rows.append((one.short, own, verified))
            values |= {("calibration_id", own), ("cvn", verified)}
    return Drawn(
        "screen of calibrations",
        _screen(rows, draw, "Calibration information", (40, 350, 900)),
        frozenset(values),
        frozenset(),
    )


def _module_page(draw: Random) -> Drawn:
    """One module: label and value in each row."""
    of = car(draw, 1)
    one = of.modules[0]
    rows = [
        ("VIN", of.vin),
        ("Calibration ID", one.ids[0]),
        ("CVN", one.cvns[0]),
        ("Hardware number", one.hardware),
        ("Software number", one.software),
        ("Battery voltage", f"{of.voltage} V"),
    ]
    image = _screen(rows, draw, f"{MODULES[one.short]} ({one.short})", (40, 620))
    values = {
        ("vin", of.vin),
        ("calibration_id", one.ids[0]),
        ("cvn", one.cvns[0]),
        ("hardware_number", one.hardware),
        ("software_number", one.software),
        ("voltage", of.voltage),
    }
    return Drawn("screen of one module", image, frozenset(values), frozenset())


def _before_after(draw: Random) -> Drawn:
    """What a programming screen says at its end."""
    one = car(draw, 1).modules[0]
    own, verified = calibration_id(draw), cvn(draw)
    rows = [
        (f"Programming complete  {one.short}", ""),
        ("Calibration ID", own),
        ("CVN", verified),
        ("Battery voltage", "13.8 V"),
    ]
    image = _screen(rows, draw, "Done", (40, 620))
    return Drawn(
        "screen after programming",
        image,
        frozenset({("calibration_id", own), ("cvn", verified), ("voltage", "13.8")}),
        frozenset(),
    )


def _with_codes(draw: Random) -> Car:
    while True:
        of = car(draw, draw.randrange(2, 5))
        if any(one.codes for one in of.modules[:3]):
            return of


KINDS: tuple[tuple[Callable[[Random], Drawn], int], ...] = (
    (_vin_label, 50), (_vin_plate, 25), (_vin_paper, 15), (_module_label, 20),
    (_code_list, 25), (_code_report, 20), (_calibrations, 20), (_module_page, 15), (_before_after, 10),
)  # fmt: skip
"""What is drawn, and how many of 200."""
