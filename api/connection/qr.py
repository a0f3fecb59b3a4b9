"""An address as a QR code, on the terminal and inside a page."""

from __future__ import annotations

import io
import sys
from typing import TextIO

import segno

_QUIET_ZONE = 4  # modules of white around it (ISO/IEC 18004)
_BLOCKS = "█▀▄"


def on_terminal(address: str, stream: TextIO = sys.stdout) -> str:
    """The code in half blocks, bright on dark; empty where nobody looks or there are no such letters."""
    if not stream.isatty():
        return ""
    try:
        _BLOCKS.encode(stream.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return ""
    return in_blocks(address)


def in_blocks(address: str) -> str:
    """Two rows of the code a line: a full block is bright."""
    drawn = io.StringIO()
    _code(address).terminal(out=drawn, border=_QUIET_ZONE, compact=True)
    return drawn.getvalue().rstrip("\n")


def as_svg(address: str) -> str:
    """An element for a page: black on white in every theme, since cameras read no others."""
    return _code(address).svg_inline(
        border=_QUIET_ZONE, dark="#000", light="#fff", omitsize=True, svgclass="qr", lineclass=None
    )


def _code(address: str) -> segno.QRCode:
    """Error correction M: a screen gets no scratches, but reflections."""
    return segno.make_qr(address, error="m")
