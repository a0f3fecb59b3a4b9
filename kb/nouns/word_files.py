"""Words, names and rules that stand as data beside the code that reads them."""

from __future__ import annotations

import tomllib
from importlib import resources
from typing import Any


def word_file(package: str, name: str) -> dict[str, Any]:
    """The tables of a TOML file that comes with a package; `name` may be in a folder of it."""
    return tomllib.loads(resources.files(package).joinpath(name).read_text(encoding="utf-8"))
