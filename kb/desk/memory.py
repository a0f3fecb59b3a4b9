"""What a process remembers between requests. Every value carries the revision it was made from."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from typing import Any, TypeVar, cast

Value = TypeVar("Value")


class Memory:
    """Values by key, each good for one revision. A value is made once, however many ask at a time."""

    def __init__(self) -> None:
        self._values: dict[Hashable, tuple[Hashable, Any]] = {}
        self._locks: dict[Hashable, threading.Lock] = {}
        self._guard = threading.Lock()

    def recall(self, key: Hashable, revision: Hashable, make: Callable[[], Value]) -> Value:
        """The value of `key` at `revision`, made by `make()` if what is remembered is of another one."""
        return self.renew(key, revision, lambda _old_revision, _old: make())

    def renew(
        self,
        key: Hashable,
        revision: Hashable,
        make: Callable[[Hashable | None, Value | None], Value],
    ) -> Value:
        """As `recall`, but `make` is given the remembered revision and value to start from (or None)."""
        held = self._values.get(key)
        if held is not None and held[0] == revision:
            return cast("Value", held[1])
        with self._lock_of(key):
            held = self._values.get(key)
            if held is not None and held[0] == revision:
                return cast("Value", held[1])
            value = make(*held) if held is not None else make(None, None)
            self._values[key] = (revision, value)
            return value

    def revision_of(self, key: Hashable) -> Hashable | None:
        """The revision that the remembered value of `key` was made from, if there is one."""
        held = self._values.get(key)
        return held[0] if held is not None else None

    def forget(self) -> None:
        """Drop everything, when values may have been made from what was never saved."""
        self._values.clear()

    def _lock_of(self, key: Hashable) -> threading.Lock:
        with self._guard:
            return self._locks.setdefault(key, threading.Lock())
