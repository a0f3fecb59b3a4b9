"""The size and layout of the code: what keeps every part small enough to be read at once."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path
from statistics import median

import pytest

ROOT = Path(__file__).parents[1]
PACKAGES = ("api", "kb", "web", "demo_data")
MODULE_LINES, FUNCTION_LINES, MEDIAN_FUNCTION = 250, 40, 10
TEST_LINES, TEMPLATE_LINES = 400, 120
FOLDER_FILES = 25
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", *PACKAGES, "tests"}
MADE_BY_TOOLS = (".*", "__pycache__", "*.egg-info", "build", "dist")

# A migration says tables and columns in the order that the database has them: it is long, and read once.
MIGRATIONS = ROOT / "kb" / "records" / "migrations" / "versions"
DRAWER_NAMES = {"utils", "util", "helpers", "common", "misc"}


def modules() -> Iterator[Path]:
    for package in PACKAGES:
        for file in sorted((ROOT / package).rglob("*.py")):
            if MIGRATIONS not in file.parents:
                yield file


def functions(file: Path) -> Iterator[tuple[str, int]]:
    """Each function of a file with its lines, decorators and docstring left out."""
    for node in ast.walk(ast.parse(file.read_text("utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            said = ast.get_docstring(node, clean=False)
            docstring = said.count("\n") + 1 if said is not None else 0
            yield node.name, (node.end_lineno or node.lineno) - node.lineno + 1 - docstring


def lines_of(file: Path) -> int:
    return len(file.read_text("utf-8").splitlines())


def too_long(files: Iterator[Path], most: int) -> dict[str, int]:
    counted = {str(file.relative_to(ROOT)): lines_of(file) for file in files}
    return {name: lines for name, lines in counted.items() if lines > most}


def test_no_module_grows_past_what_can_be_read_at_once() -> None:
    assert too_long(modules(), MODULE_LINES) == {}


def test_functions_are_short() -> None:
    sizes = {f"{file.relative_to(ROOT)}:{name}": size for file in modules() for name, size in functions(file)}
    assert len(sizes) > 500
    assert {name: size for name, size in sizes.items() if size > FUNCTION_LINES} == {}
    assert median(sizes.values()) <= MEDIAN_FUNCTION


def test_test_files_and_templates_are_short() -> None:
    assert too_long((ROOT / "tests").rglob("*.py"), TEST_LINES) == {}
    assert too_long((ROOT / "web" / "templates").rglob("*.html"), TEMPLATE_LINES) == {}


def test_no_folder_holds_more_than_can_be_looked_over() -> None:
    kept = [ROOT / package for package in (*PACKAGES, "tests")]
    folders = [folder for top in kept for folder in (top, *top.rglob("*/")) if folder.name != "__pycache__"]
    folders = [one for one in folders if one.name != "versions"]  # each migration stays, in its order
    counted = {str(f.relative_to(ROOT)): sum(one.is_file() for one in f.iterdir()) for f in folders}
    assert {name: files for name, files in counted.items() if files > FOLDER_FILES} == {}


def test_the_top_level_holds_what_it_should_and_nothing_else() -> None:
    found = {
        entry.name for entry in ROOT.iterdir() if not any(entry.match(pattern) for pattern in MADE_BY_TOOLS)
    }
    assert found == TOP_LEVEL


@pytest.mark.parametrize("kind", ["module", "folder"])
def test_there_is_no_drawer_for_what_has_no_place(kind: str) -> None:
    names = [file.stem for file in modules()] if kind == "module" else [f.parent.name for f in modules()]
    assert sorted(DRAWER_NAMES & set(names)) == []


def test_nothing_is_left_to_be_done_later() -> None:
    """A promise in a comment is kept by nobody."""
    words = ("TO" + "DO", "FIX" + "ME", "X" + "XX")
    found = [
        f"{file.relative_to(ROOT)}: {word}"
        for file in [*modules(), *(ROOT / "tests").rglob("*.py")]
        for word in words
        if word in file.read_text("utf-8")
    ]
    assert found == []
