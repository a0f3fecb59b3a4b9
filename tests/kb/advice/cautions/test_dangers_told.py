"""How surely a danger is heard, and how seldom a harmless complaint is called one, over many wordings.

`by_other_heads_judged.json` was never read by whoever made the rule, only counted; `by_other_heads_seen.json`
was looked at, and mended after. When it was first counted, 118 of the judged list's 120 dangerous lines were
heard, and none of its 60 harmless ones was called dangerous. The other lists are by the rule's own head.
Which are dangerous: common practice, no source.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from itertools import product
from pathlib import Path

import pytest

from tests.kb.advice.cautions.heard import cautions_in

FOLDER = Path(__file__).parent / "dangers"
CALLED_DANGEROUS = {"do_not_drive", "misfire", "stop_charging"}
Told = tuple[str, str]  # a complaint and its caution, or none
ALL, NEARLY_ALL, SELDOM = 1.0, 0.95, 0.05  # wanted of texts never seen: ALL, and SELDOM a false one


def dangerous_lines() -> Iterator[Told]:
    caution = ""
    for line in (FOLDER / "dangerous.txt").read_text(encoding="utf-8").splitlines():
        if line.startswith("#"):
            caution = line.split(": ")[1]
        elif line and caution:
            yield line, caution


def harmless_lines() -> Iterator[Told]:
    lines = (FOLDER / "harmless.txt").read_text(encoding="utf-8").splitlines()
    yield from ((line, "") for line in lines[2:])


def made_of_parts() -> Iterator[Told]:
    told = tomllib.loads((FOLDER / "made_of_parts.toml").read_text(encoding="utf-8"))
    for one in told["made"]:
        for thing, ending in product(one["things"], one["endings"]):
            yield f"{thing} {ending}", one.get("caution", "")


def by_other_heads(which: str) -> Iterator[Told]:
    cases = json.loads((FOLDER / f"by_other_heads_{which}.json").read_text(encoding="utf-8"))
    yield from ((case["complaint"], case["caution"] or "") for case in cases)


def missed(told: list[Told]) -> list[Told]:
    return [(text, caution) for text, caution in told if caution and caution not in cautions_in(text)]


def falsely_called(told: list[Told]) -> list[str]:
    return [text for text, caution in told if not caution and cautions_in(text) & CALLED_DANGEROUS]


@pytest.mark.parametrize(
    ("told", "heard", "false"),
    [
        (list(dangerous_lines()), 0.999, 0.0),
        (list(harmless_lines()), ALL, 0.002),
        (list(made_of_parts()), 0.998, 0.002),
        (list(by_other_heads("seen")), ALL, 0.0),
        (list(by_other_heads("judged")), NEARLY_ALL, SELDOM),
    ],
    ids=["dangerous", "harmless", "made of parts", "seen", "judged"],
)
def test_dangers_are_heard_and_little_else(told: list[Told], heard: float, false: float) -> None:
    dangerous = [one for one in told if one[1]]
    harmless = [one for one in told if not one[1]]
    assert len(missed(told)) <= (1 - heard) * len(dangerous) + 1e-9, missed(told)[:20]
    assert len(falsely_called(told)) <= false * len(harmless), falsely_called(told)[:20]
