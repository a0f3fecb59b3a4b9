"""An address as a QR code, on the terminal and inside a page."""

from __future__ import annotations

import sys
from itertools import zip_longest
from typing import TextIO

import numpy as np
import zxingcpp

_BLOCKS = {(True, True): "█", (True, False): "▀", (False, True): "▄", (False, False): " "}
"""By whether the upper and the lower module is bright."""


def on_terminal(address: str, stream: TextIO = sys.stdout) -> str:
    """The code in half blocks, bright on dark; empty where nobody looks or there are no such letters."""
    if not stream.isatty():
        return ""
    try:
        "".join(_BLOCKS.values()).encode(stream.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return ""
    return in_blocks(address)


def in_blocks(address: str) -> str:
    """Two rows of the code a line: a full block is bright."""
    rows = _bright(address)
    pairs = zip_longest(rows[::2], rows[1::2], fillvalue=[False] * len(rows))
    return "\n".join("".join(_BLOCKS[two] for two in zip(*pair, strict=True)) for pair in pairs)


def as_svg(address: str) -> str:
    """An element for a page: black on white in every theme, since cameras read no others."""
    rows = _bright(address)
    side = len(rows)
    dark = "".join(
        f"M{x} {y}h1v1h-1z" for y, row in enumerate(rows) for x, is_bright in enumerate(row) if not is_bright
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side} {side}" class="qr">'
        f'<path fill="#fff" d="M0 0h{side}v{side}h-{side}z"/><path d="{dark}"/></svg>'
    )


def _bright(address: str) -> list[list[bool]]:
    """Rows of modules, with the four bright ones around that ISO/IEC 18004 asks for.

    Error correction M: a screen gets no scratches, but reflections.
    """
    code = zxingcpp.create_barcode(address, zxingcpp.BarcodeFormat.QRCode, ec_level="M")
    rows: list[list[bool]] = (np.array(code.to_image()) > 0).tolist()
    return rows
