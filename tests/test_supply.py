"""The lock holds what pyproject.toml asks for and nothing else; the program says why each package is here.

What a package asks for is read from the metadata that it came with, not from what wrote the lock.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterable, Iterator
from importlib.metadata import Distribution, PackageNotFoundError, packages_distributions
from pathlib import Path
from typing import Any

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from api import cli
from api.commands import packages
from api.packages import installed
from api.packages.needed import NEEDED_FOR

ROOT = Path(__file__).parents[1]
PROJECT: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
EXTRAS, GROUPS = PROJECT["project"]["optional-dependencies"], PROJECT["dependency-groups"]
RUN = [*PROJECT["project"]["dependencies"], *GROUPS["build"]]
ASKED = {
    "run": RUN,
    "photo": [*RUN, *EXTRAS["photo"]],
    "postgres": [*RUN, *EXTRAS["postgres"]],
    "test": [*RUN, *EXTRAS["test"], *EXTRAS["postgres"]],
    "audit": GROUPS["audit"],
}
ON_TOP_OF_RUN = ("photo", "postgres", "test")
LEFT_OUT = {"ultravin": "typer"}
"""Asked for and not locked for a shop: only ultravin's own command line imports it."""
_ENTRY = re.compile(r"(?P<name>[a-z0-9.-]+)==(?P<version>[^ ;]+)(?: ; .+)?")


def entries(name: str) -> dict[str, list[str]]:
    """Each package of a file of the lock with its versions (by Python, where they differ)."""
    text = (ROOT / ".locked" / f"{name}.txt").read_text("utf-8").replace("\\\n", " ")
    head, *lines = [line for line in text.splitlines() if line and line[0] not in " #"]
    assert head == "--only-binary :all:"  # nothing is built while it is installed
    found: dict[str, list[str]] = {}
    for line in lines:
        asked, *hashes = re.split(r"\s+--hash=", line.strip())
        assert hashes, line
        assert all(re.fullmatch(r"sha256:[0-9a-f]{64}", one) for one in hashes), line
        read = _ENTRY.fullmatch(asked.strip())
        assert read, line
        found.setdefault(read["name"], []).append(read["version"])
    return found


def locked(name: str) -> dict[str, list[str]]:
    return entries(name) | (entries("run") if name in ON_TOP_OF_RUN else {})


def here(name: str) -> Distribution | None:
    try:
        return Distribution.from_name(name)
    except PackageNotFoundError:
        return None


def needs(name: str, extras: Iterable[str], *, everywhere: bool) -> Iterator[Requirement]:
    """What a package asks for with these extras: on this system, or on any."""
    of = here(name)
    for line in (of.requires if of else None) or ():
        one = Requirement(line)
        only_for = set(re.findall(r'\bextra == "([^"]+)"', str(one.marker)))
        holds_here = not one.marker or any(one.marker.evaluate({"extra": x}) for x in ("", *extras))
        if (not only_for or only_for & set(extras)) if everywhere else holds_here:
            yield one


def closure(asked: Iterable[str], *, everywhere: bool, leave_out: bool) -> list[Requirement]:
    """All that is asked for, by itself or by another, each as often as it is."""
    to_do = [Requirement(one) for one in asked if not one.startswith("beforeflash")]
    found: list[Requirement] = []
    done: set[tuple[str, frozenset[str]]] = set()
    while to_do:
        one = to_do.pop()
        found.append(one)
        at = name, extras = str(canonicalize_name(one.name)), frozenset(one.extras)
        if at not in done:
            done.add(at)
            more = needs(name, extras, everywhere=everywhere)
            to_do += [each for each in more if not (leave_out and LEFT_OUT.get(name) == each.name)]
    return found


@pytest.mark.parametrize("name", ASKED)
def test_what_is_asked_for_is_locked_within_its_bounds_with_hashes(name: str) -> None:
    have = locked(name)
    for one in (Requirement(line) for line in ASKED[name] if not line.startswith("beforeflash")):
        versions = have[canonicalize_name(one.name)]
        assert all(one.specifier.contains(version) for version in versions), one


@pytest.mark.parametrize("name", ["run", "test"])
def test_what_that_asks_for_in_turn_is_locked_too_and_nothing_else_is(name: str) -> None:
    have, leave_out = locked(name), name == "run"
    for one in closure(ASKED[name], everywhere=False, leave_out=leave_out):
        assert any(map(one.specifier.contains, have.get(canonicalize_name(one.name), ()))), one
    asked = {
        canonicalize_name(one.name) for one in closure(ASKED[name], everywhere=True, leave_out=leave_out)
    }
    assert set(have) - asked == set()


@pytest.mark.parametrize("name", ON_TOP_OF_RUN)
def test_what_comes_on_top_repeats_nothing_of_what_runs(name: str) -> None:
    assert set(entries(name)) & set(entries("run")) == set()
    assert {one: entries("test").get(one) for one in entries("postgres")} == entries("postgres")


def test_each_package_asked_for_has_its_reason_and_no_other() -> None:
    lines = [*PROJECT["project"]["dependencies"], *EXTRAS["photo"], *EXTRAS["postgres"]]
    assert sorted(canonicalize_name(Requirement(one).name) for one in lines) == sorted(NEEDED_FOR)


def test_the_program_imports_only_what_a_shop_installs() -> None:
    ours = {"api", "kb", "web", "demo_data"}
    text = "\n".join(file.read_text("utf-8") for one in ours for file in (ROOT / one).rglob("*.py"))
    imported = set(
        re.findall(r"^\s*(?:import|from) (\w+)[\w. ]*(?:$| import\b|,| as\b|  #)", text, re.MULTILINE)
    )
    brings = packages_distributions()
    shop = {*locked("photo"), *locked("postgres")}
    others = {one: brings.get(one, []) for one in imported - ours - set(sys.stdlib_module_names)}
    assert {"numpy", "fastapi", "ultravin"} <= set(others)
    assert {one: by for one, by in others.items() if by and not shop & set(map(canonicalize_name, by))} == {}


def test_a_vin_is_read_without_what_the_lock_leaves_out() -> None:
    """H in position 10 is 2017 (49 CFR 565.15, table VII)."""
    code = (
        "import sys; sys.modules['typer'] = None; from kb.vehicle.decode import decode; "
        "print(decode('4S3BNAC62H3004321', 2026).vehicle.year)"
    )
    assert (
        subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True).stdout
        == "2017\n"
    )


def test_each_package_says_its_licence_and_copyleft_is_named(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    found = installed()
    monkeypatch.setattr(packages, "installed", lambda: found)
    assert cli.main(["packages", "--json"]) == 0
    said = {one["name"]: one for one in json.loads(capsys.readouterr().out)["packages"]}
    assert len(said) >= len(NEEDED_FOR) - len(EXTRAS["photo"])
    assert [name for name, one in said.items() if one["licence"] == "not said"] == []
    for name, one in said.items():
        assert not told_in_its_files(name) or one["copyleft"], name
    assert {"numpy", "scipy"} <= {name for name in said if said[name]["copyleft"]}
    assert cli.main(["packages"]) == 0
    named = capsys.readouterr().out.partition("Under a copyleft licence")[2]
    assert all(f"{name}: {one['copyleft']}" in named for name, one in said.items() if one["copyleft"])


def told_in_its_files(name: str) -> list[str]:
    """Licences of the GNU family that the texts beside a package name for what it holds."""
    of = here(name)
    files = [file for file in (of.files if of else None) or () if "LICEN" in file.name.upper()]
    texts = [file.read_text() for file in files if ".dist-info" in str(file)]
    return [one for text in texts for one in re.findall(r"^License: (.*GPL.*)$", text, re.MULTILINE)]
