"""Addresses that a browser hands us and that we may send it to."""

from __future__ import annotations

from urllib.parse import urlsplit


def ours(path: str, otherwise: str = "/") -> str:
    """The path if it stays on this site, else `otherwise` (an open redirect would help a phisher)."""
    parts = urlsplit(path)
    stays = (
        path.startswith("/") and not path.startswith(("//", "/\\")) and not parts.scheme and not parts.netloc
    )
    return path if stays and "\n" not in path and "\r" not in path else otherwise
