"""Default deny: nothing reaches the shop's data unless somebody decided who may."""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, get_type_hints

import pytest

import kb.desk
from kb.desk.context import Desk, RunningShop
from kb.errors import NotAllowed
from kb.nouns.people import Actor

ROOT = Path(__file__).parents[1]

# What nobody signed in may do: come in, and be told who they are.
OPEN_TO_ANYONE = {
    "cookie_of",
    "device_of",
    "first_run_open",
    "forget_name",
    "has_pin",
    "may_try",
    "note_token_use",
    "note_visit",
    "percent_filled",
    "place_on",
    "refuse_while_filling",
    "set_up_first_owner",
    "shared_device",
    "sign_in_demo",
    "sign_out",
    "take_handful",
    "tiles",
    "tried",
    "wait_before",
    "who_holds_cookie",
    "who_holds_token",
}


def desk_functions() -> Iterator[tuple[str, Callable[..., Any]]]:
    """Every public function of the desk whose first argument is the desk, as module.name."""
    for module_info in pkgutil.walk_packages(kb.desk.__path__, "kb.desk."):
        module = importlib.import_module(module_info.name)
        for name, function in vars(module).items():
            if name.startswith("_") or not inspect.isfunction(function):
                continue
            first = next(iter(inspect.signature(function).parameters.values()), None)
            if function.__module__ == module.__name__ and first is not None and _is_desk(function, first):
                yield f"{module_info.name.removeprefix('kb.desk.')}.{name}", function


def _is_desk(function: Callable[..., Any], first: inspect.Parameter) -> bool:
    return get_type_hints(inspect.unwrap(function)).get(first.name) is Desk


DESK = dict(desk_functions())
DECIDED = {name: function for name, function in DESK.items() if hasattr(function, "allowed_roles")}


def names_used_of_the_desk(folder: str) -> set[str]:
    """module.name of every desk function that the files of a folder mention."""
    used: set[str] = set()
    for file in (ROOT / folder).rglob("*.py"):
        aliases: dict[str, str] = {}
        tree = ast.parse(file.read_text("utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and f"{node.module}.".startswith("kb.desk."):
                inside = f"{node.module}.".removeprefix("kb.desk.")
                aliases |= {(one.asname or one.name): f"{inside}{one.name}" for one in node.names}
                used |= {f"{inside}{one.name}" for one in node.names}
        for node in ast.walk(tree):
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
                module = aliases.get(node.value.id, "")
                used.add(f"{module}.{node.attr}")
    return used


def test_there_are_use_cases_to_look_at() -> None:
    assert len(DECIDED) > 60


@pytest.mark.parametrize("folder", ["api", "web"])
def test_pages_and_interface_only_reach_use_cases_that_say_who_may(folder: str) -> None:
    undecided = set(DESK) - set(DECIDED)
    assert sorted(undecided & names_used_of_the_desk(folder)) == []


def test_only_signing_in_and_how_far_a_demo_is_filled_are_open_to_anyone() -> None:
    found = {name.rpartition(".")[2] for name, function in DECIDED.items() if function.allowed_roles is None}  # type: ignore[attr-defined]
    assert found == OPEN_TO_ANYONE


@pytest.mark.parametrize("role", ["", "admin", "OWNER", "tech "])
def test_a_role_that_is_not_known_is_refused_every_use_case(sqlite_shop: RunningShop, role: str) -> None:
    let_in = []
    with sqlite_shop.reading(Actor(1, "somebody", role)) as desk:
        for name, function in DECIDED.items():
            if function.allowed_roles is None:  # type: ignore[attr-defined]
                continue
            try:
                function(desk)
            except NotAllowed:
                continue
            except TypeError:  # it got as far as missing its arguments
                pass
            let_in.append(name)
    assert let_in == []
