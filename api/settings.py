"""What the process is told from outside. The environment is read here and nowhere else."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from ipaddress import IPv4Network, IPv6Network, ip_network
from pathlib import Path

from platformdirs import user_data_path

from api.hosts import Called, own_names

_HOST_NAME = re.compile(r"[a-z0-9_]([a-z0-9_.-]*[a-z0-9_])?")
_NO_OR_YES = ("no", "yes")
_NAME, _SHOP, _DEMO = "beforeflash", "shop.db", "demo.db"


class BadSettings(Exception):
    """An environment variable that cannot be taken as it stands; the message says which."""


@dataclass(frozen=True, slots=True)
class LogSettings:
    """`json`: a JSON object a line instead of name=value; `requests`: a line for each request too."""

    json: bool = False
    requests: bool = False


@dataclass(frozen=True, slots=True)
class ProcessSettings:
    """Where the data is and where the server listens.

    `database_url` is empty unless somebody set it; `shop_url` is then the SQLite file in the data folder.
    `named`: whether somebody said where the shop is, rather than take the usual folder. `named_hosts`: more
    names that the server goes by. `https`: pages by HTTPS at `https_port`, and at `port` the way there.
    `https_only`: nothing else is let in, whether HTTPS is its own or a proxy's.
    """

    data_folder: Path
    database_url: str = ""
    named: bool = False
    host: str = "127.0.0.1"
    port: int = 8000
    workers: int = 1
    named_hosts: frozenset[str] = frozenset()
    https: bool = False
    https_port: int = 8443
    https_only: bool = False
    proxies: tuple[IPv4Network | IPv6Network, ...] = ()
    log: LogSettings = LogSettings()

    @property
    def shop_file(self) -> Path:
        return self.data_folder / _SHOP

    @property
    def demo_file(self) -> Path:
        return self.data_folder / _DEMO

    @property
    def shop_url(self) -> str:
        return self.database_url or sqlite_url(self.shop_file)

    @property
    def hosts(self) -> frozenset[str]:
        """The names that requests may be sent to, beside addresses in figures."""
        return own_names() | {self.host.lower()} | self.named_hosts

    @property
    def called(self) -> Called:
        return Called(self.hosts, self.proxies, self.https, self.https_only)

    @property
    def https_folder(self) -> Path:
        return self.data_folder / "https"

    @property
    def certificate_file(self) -> Path:
        """The server's certificate with its key."""
        return self.https_folder / "server.pem"

    @property
    def pages_at(self) -> tuple[str, int]:
        """The scheme and the port of the pages."""
        return ("https", self.https_port) if self.https else ("http", self.port)

    @property
    def place(self) -> str:
        """Where the shop is, in words; a database's address may hold a password."""
        return "the database of BEFOREFLASH_DATABASE_URL" if self.database_url else str(self.data_folder)

    @property
    def demo_url(self) -> str:
        """The demo never touches the database that a shop works with."""
        return sqlite_url(self.demo_file)

    @property
    def only_demo_exists(self) -> bool:
        return not self.database_url and self.demo_file.exists() and not self.shop_file.exists()

    def at(
        self, host: str | None, port: int | None, *, https: bool = False, https_only: bool = False
    ) -> ProcessSettings:
        """The same, listening where and how the command line says."""
        return replace(
            self,
            host=host or self.host,
            port=self.port if port is None else port,
            https=https or self.https,
            https_only=https_only or self.https_only,
        )

    def for_workers(self) -> dict[str, str]:
        """What the server's own processes read of the command line."""
        said = {"HOST": self.host, "PORT": str(self.port)}
        said |= {"HTTPS": _NO_OR_YES[self.https], "HTTPS_ONLY": _NO_OR_YES[self.https_only]}
        return {f"BEFOREFLASH_{name}": value for name, value in said.items()}


def sqlite_url(file: Path) -> str:
    return f"sqlite:///{file.absolute().as_posix()}"


def from_environment(environment: Mapping[str, str] = os.environ) -> ProcessSettings:
    """Read BEFOREFLASH_DATABASE_URL, _DATA, _HOST, _HOSTS, _PORT, _WORKERS, _HTTPS, _HTTPS_PORT, _PROXIES,
    _HTTPS_ONLY, _LOG and _LOG_REQUESTS. Raises BadSettings.
    """
    return ProcessSettings(
        data_folder=_data_folder(environment),
        database_url=environment.get("BEFOREFLASH_DATABASE_URL", "").strip(),
        named=any(environment.get(f"BEFOREFLASH_{one}", "").strip() for one in ("DATA", "DATABASE_URL")),
        host=environment.get("BEFOREFLASH_HOST", "").strip() or "127.0.0.1",
        port=_whole(environment, "BEFOREFLASH_PORT", 8000, 0, 65535),
        workers=_whole(environment, "BEFOREFLASH_WORKERS", 1, 1, 64),
        named_hosts=_names(environment, "BEFOREFLASH_HOSTS"),
        https=_said_yes(environment, "BEFOREFLASH_HTTPS"),
        https_port=_whole(environment, "BEFOREFLASH_HTTPS_PORT", 8443, 1, 65535),
        https_only=_said_yes(environment, "BEFOREFLASH_HTTPS_ONLY"),
        proxies=_networks(environment, "BEFOREFLASH_PROXIES"),
        log=LogSettings(
            _one_of(environment, "BEFOREFLASH_LOG", "text", "json") == "json",
            _said_yes(environment, "BEFOREFLASH_LOG_REQUESTS"),
        ),
    )


def _data_folder(environment: Mapping[str, str]) -> Path:
    """BEFOREFLASH_DATA, else $XDG_DATA_HOME/beforeflash, else where this system keeps such data.

    A shop that an earlier version made in ~/.local/share, also on Windows and macOS, is used where it is.
    """
    if said := environment.get("BEFOREFLASH_DATA", "").strip():
        return Path(said).expanduser()
    if base := environment.get("XDG_DATA_HOME", "").strip():
        return Path(base).expanduser() / _NAME
    usual, earlier = user_data_path(_NAME, appauthor=False), Path.home() / ".local" / "share" / _NAME
    return earlier if _holds_data(earlier) and not _holds_data(usual) else usual


def _holds_data(folder: Path) -> bool:
    return any((folder / name).exists() for name in (_SHOP, _DEMO))


def _names(environment: Mapping[str, str], name: str) -> frozenset[str]:
    """Names of hosts, split on commas or spaces."""
    said = environment.get(name, "").replace(",", " ").lower().split()
    for one in said:
        if not _HOST_NAME.fullmatch(one):
            raise BadSettings(f"{name} holds {one!r}; write names alone, like shop-pc or memory.example.")
    return frozenset(said)


def _networks(environment: Mapping[str, str], name: str) -> tuple[IPv4Network | IPv6Network, ...]:
    """Addresses in figures, or networks (10.0.0.0/24), split on commas or spaces."""
    try:
        return tuple(ip_network(one) for one in environment.get(name, "").replace(",", " ").split())
    except ValueError as error:
        raise BadSettings(f"{name}: {error}; write addresses in figures, like 127.0.0.1.") from None


def _said_yes(environment: Mapping[str, str], name: str) -> bool:
    return _one_of(environment, name, *_NO_OR_YES) == "yes"


def _one_of(environment: Mapping[str, str], name: str, usual: str, other: str) -> str:
    said = environment.get(name, "").strip().lower() or usual
    if said not in {usual, other}:
        raise BadSettings(f"{name} is {said!r}; it must be {usual} or {other}.")
    return said


def _whole(environment: Mapping[str, str], name: str, default: int, low: int, high: int) -> int:
    said = environment.get(name, "").strip()
    if not said:
        return default
    if not said.isdecimal() or not low <= int(said) <= high:
        raise BadSettings(f"{name} is {said!r}; it must be a whole number from {low} to {high}.")
    return int(said)
