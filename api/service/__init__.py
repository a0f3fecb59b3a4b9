"""Files by which a computer starts Beforeflash by itself: printed, to be read before they are used."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Installed:
    """What is started (`command`), where its data is now, and where it is to listen; the pages under HTTPS
    at `https_port`, if so, and nothing without HTTPS if `https_only`. `proxies` are those that are believed,
    as the setting takes them.
    """

    command: Path
    data_folder: Path
    port: int
    has_shop: bool
    https_port: int | None = None
    https_only: bool = False
    proxies: str = ""

    @property
    def options(self) -> str:
        """Of HTTPS, as `serve` and `service` take them, each after a blank."""
        return " --https" * (self.https_port is not None) + " --https-only" * self.https_only
