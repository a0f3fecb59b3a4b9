"""What every answer tells a browser, whoever writes it: nothing is loaded from elsewhere, framed elsewhere or
run inline, and no kind is guessed.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

SAFE_HEADERS: Final[Mapping[str, str]] = {
    "Content-Security-Policy": "default-src 'self'; img-src 'self' data: blob:; object-src 'none'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), display-capture=(), payment=(), usb=()",
    "Cross-Origin-Resource-Policy": "same-origin",
}
