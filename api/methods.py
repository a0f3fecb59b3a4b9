"""Which methods an address takes, over all routes that answer there.

The framework asks route after route: a path with a literal end ("/notes/alike") that does not take the
method would be handed to one with an id in that place, and what it says of a method that is not taken names
the first route alone. RFC 9110, 15.5.6: an answer 405 names every method that the address takes.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Addresses:
    """Templates of paths with the methods of each. `literal` holds those without a parameter."""

    literal: dict[str, frozenset[str]]
    others: tuple[tuple[re.Pattern[str], frozenset[str]], ...]

    @classmethod
    def of(cls, routes: Iterable[tuple[str, Iterable[str]]]) -> Addresses:
        taken: dict[str, frozenset[str]] = {}
        for template, methods in routes:
            taken[template] = taken.get(template, frozenset()) | frozenset(methods)
        literal = {one: methods for one, methods in taken.items() if "{" not in one}
        others = {one: methods for one, methods in taken.items() if "{" in one}
        most_literal_first = sorted(others, key=lambda one: one.count("{"))
        return cls(literal, tuple((_pattern(one), others[one]) for one in most_literal_first))

    def is_taken(self, method: str, path: str) -> bool:
        """False for a method that a literal path does not take, though another route might in its place."""
        return path not in self.literal or method in self.literal[path]

    def methods_at(self, path: str) -> frozenset[str]:
        """Those of the most literal template that a path is of; none where nothing is at this address."""
        if path in self.literal:
            return self.literal[path]
        return next((methods for form, methods in self.others if form.fullmatch(path)), frozenset())


def _pattern(template: str) -> re.Pattern[str]:
    parts = re.split(r"\{[^}]*\}", template)
    return re.compile("[^/]+".join(map(re.escape, parts)))
