"""Every requirement of level 1 and 2 stands once in `rows.txt`, and what is said to meet it is there."""

from __future__ import annotations

import ast
import re
from collections import Counter
from functools import cache
from pathlib import Path

HERE, ROOT = Path(__file__).parent, Path(__file__).parents[2]
STATES = ("met", "not met", "does not apply")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")


def lines(name: str) -> list[str]:
    return [one for one in (HERE / name).read_text("utf-8").splitlines() if one and not one.startswith("#")]


def levels() -> dict[str, str]:
    """The level of each requirement, as the standard has it."""
    told = (line.split() for line in lines("levels.txt"))
    return {f"{section}.{number}": level for section, of in told for number, level in enumerate(of, 1)}


def rows() -> list[tuple[str, ...]]:
    """Number, level, what it asks, state, by what."""
    return [tuple(cell.strip() for cell in line.split(" | ")) for line in lines("rows.txt")]


@cache
def functions_of(file: str) -> set[str]:
    tree = ast.parse((ROOT / file).read_text("utf-8"))
    return {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}


def test_the_levels_add_up_to_what_the_standard_has() -> None:
    """Its 345 requirements by level, counted in the JSON and in the Markdown chapters of the release."""
    assert Counter(levels().values()) == {"1": 70, "2": 183, "3": 92}


def test_each_requirement_stands_once_with_its_level_a_state_and_a_reason() -> None:
    wanted = {number: level for number, level in levels().items() if level in "12"}
    told = rows()
    assert {number: level for number, level, *_ in told} == wanted
    assert len(told) == len(wanted)
    assert [row for row in told if row[3] not in STATES or not row[2] or not row[4]] == []


def test_what_meets_a_requirement_is_there() -> None:
    missing = []
    for number, _, _, state, by in rows():
        if state != "met":
            continue
        if by.startswith("DEVELOPERS.md: "):
            words = by.removeprefix("DEVELOPERS.md: ")
            missing += [number] * (f"**{words}" not in DEVELOPERS and f"### {words}" not in DEVELOPERS)
            continue
        for file, _, name in (one.partition("::") for one in by.split()):
            missing += [f"{number} {name}"] * (not name.startswith("test_") or name not in functions_of(file))
    assert missing == []


def test_the_counts_in_the_document_are_those_of_the_table() -> None:
    counts = Counter(state for _, _, _, state, _ in rows())
    said = re.search(r"(\d+) of the (\d+) that apply are met, (\d+) are not", DEVELOPERS)
    assert said
    applies = counts["met"] + counts["not met"]
    assert tuple(map(int, said.groups())) == (counts["met"], applies, counts["not met"])
