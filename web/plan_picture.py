"""The plan as a small tree: boxes and lines with their places, for one SVG."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kb.nouns.advice import PlanNode

_COLUMN, _ROW, _BOX_WIDTH, _BOX_HEIGHT, _DEEPEST = 190, 46, 150, 34, 3
_LONGEST = 21  # letters of 12 px that fit a box


@dataclass(frozen=True, slots=True)
class Box:
    """A step: its left edge and middle line, its words, and its kind (check, reflash, diagnose, more)."""

    x: int
    y: int
    text: str
    kind: str


@dataclass(frozen=True, slots=True)
class Branch:
    """A line from a step to the next, with the result word that leads there."""

    x1: int
    y1: int
    x2: int
    y2: int
    word: str


@dataclass(frozen=True, slots=True)
class PlanPicture:
    """Everything drawn, and the size of the sheet; `box_width` and `box_height` are the same for all."""

    boxes: tuple[Box, ...]
    branches: tuple[Branch, ...]
    width: int
    height: int
    box_width: int = _BOX_WIDTH
    box_height: int = _BOX_HEIGHT


Words = dict[str, tuple[str, str]]


def plan_picture(plan: PlanNode, words: Words) -> PlanPicture:
    """The plan's tree, cut after three results. `words` are (yes, no) by check key."""
    boxes: list[Box] = []
    branches: list[Branch] = []
    rows = _rows()
    _place(plan, 0, words, rows, boxes, branches)
    width = max(box.x for box in boxes) + _BOX_WIDTH + 2
    return PlanPicture(tuple(boxes), tuple(branches), width, next(rows) - _ROW // 2 + 2)


def _rows() -> Iterator[int]:
    y = _ROW // 2
    while True:
        yield y
        y += _ROW


def _place(
    node: PlanNode,
    depth: int,
    words: Words,
    rows: Iterator[int],
    boxes: list[Box],
    branches: list[Branch],
) -> Box:
    x = depth * _COLUMN + 1
    following = _following(node, words)
    if depth == _DEEPEST and following:
        box = Box(x, next(rows), "… and so on", "more")
    elif not following:
        box = Box(x, next(rows), _text(node), node.do)
    else:
        ends = [(word, _place(step, depth + 1, words, rows, boxes, branches)) for word, step in following]
        middle = (ends[0][1].y + ends[-1][1].y) // 2
        box = Box(x, middle, _text(node), node.do)
        branches.extend(Branch(x + _BOX_WIDTH, middle, end.x, end.y, word) for word, end in ends)
    boxes.append(box)
    return box


def _following(node: PlanNode, words: Words) -> list[tuple[str, PlanNode]]:
    yes, no = words.get(node.key, ("YES", "NO"))
    branches = ((yes, node.yes), (no, node.no), ("not cured", node.then))
    return [(word, step) for word, step in branches if step is not None]


def _text(node: PlanNode) -> str:
    if node.do == "diagnose":
        return "Diagnose to the end"
    text = f"Reflash: {node.name}" if node.do == "reflash" else node.name
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1].rstrip()}…"
