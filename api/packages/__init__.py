"""Every package of this installation by its own metadata: version, size, licence, and what it is for."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.metadata import Distribution, PackageNotFoundError

from api.packages.needed import CARRIED, NEEDED_FOR

PROGRAM, EXTRAS = "beforeflash", frozenset({"photo", "postgres"})
_REQUIREMENT = re.compile(r"(?P<name>[\w.-]+)\s*(?:\[(?P<extras>[^]]*)\])?")
_OF_AN_EXTRA = re.compile(r"extra\s*==\s*['\"]([\w-]+)")
_COPYLEFT = re.compile(r"\b[AL]?GPL|\bMPL|\bEPL|General Public|Mozilla Public", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Package:
    """A package in its folder: bytes on the disk, its licence as it says it, what it is for."""

    name: str
    version: str
    size: int
    licence: str
    needed_for: str
    carries: str

    @property
    def copyleft(self) -> str:
        """What of it is under a copyleft licence; empty for nothing."""
        own = self.licence if _COPYLEFT.search(self.licence) else ""
        return " and carries ".join(part for part in (own, self.carries) if part)


def installed() -> tuple[Package, ...]:
    """What the program asks for and what that asks for in turn, as far as it is here, by name.

    An extra of the program counts where it was installed.
    """
    asked_by: dict[str, list[str]] = {}
    found: dict[str, Distribution] = {}
    to_do = [(PROGRAM, EXTRAS)]
    done: set[tuple[str, frozenset[str]]] = set()
    while to_do:
        name, extras = at = to_do.pop()
        if at in done or (here := _here(name)) is None:
            continue
        done.add(at)
        found[name] = here
        for needed, its_extras in _needs(here, extras):
            asked_by.setdefault(needed, []).append(name)
            to_do.append((needed, its_extras))
    return tuple(_package(found[name], asked_by[name]) for name in sorted(found) if name != PROGRAM)


def _here(name: str) -> Distribution | None:
    try:
        return Distribution.from_name(name)
    except PackageNotFoundError:
        return None


def _needs(of: Distribution, extras: frozenset[str]) -> Iterator[tuple[str, frozenset[str]]]:
    """Names (as PEP 503 writes them) with their extras. What another system needs is not here anyway."""
    for line in of.requires or ():
        only_for = set(_OF_AN_EXTRA.findall(line))
        if (read := _REQUIREMENT.match(line)) and (not only_for or only_for & extras):
            yield written(read["name"]), frozenset(re.findall(r"[\w-]+", read["extras"] or ""))


def written(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def _package(of: Distribution, asked_by: list[str]) -> Package:
    name = written(of.metadata["Name"])
    reason = NEEDED_FOR.get(name) or f"for {', '.join(sorted(set(asked_by)))}"
    return Package(name, of.version, _size(of), _licence(of), reason, CARRIED.get(name, ""))


def _size(of: Distribution) -> int:
    paths = (of.locate_file(file) for file in of.files or ())
    return sum(path.stat().st_size for path in paths if path.is_file())  # type: ignore[attr-defined]


def _licence(of: Distribution) -> str:
    """The SPDX expression, else the short words of the older field, else those of its classifiers."""
    said = of.metadata.json
    if expression := said.get("license_expression"):
        return str(expression)
    words = str(said.get("license") or "")
    if words and "\n" not in words:
        return words
    classifiers = [one for one in said.get("classifier", []) if one.startswith("License ::")]
    return ", ".join(one.rsplit(" :: ", 1)[-1] for one in classifiers) or "not said"
