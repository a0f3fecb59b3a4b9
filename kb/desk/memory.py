"""What a process remembers between requests. Every value carries the revision it was made from."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from itertools import count
from typing import Any, TypeVar, cast

from kb.records.files.array_file import ArrayFolder

Value = TypeVar("Value")


class Memory:
    """Values by key, each good for one revision. A value is made once, however many ask at a time.

    `files` is where arrays are kept that all processes of the computer map, or None.
    """

    def __init__(self) -> None:
        self.files: ArrayFolder | None = None
        self._values: dict[Hashable, tuple[Hashable, Any]] = {}
        self._made_at: dict[Hashable, int] = {}
        self._moments = count(1)
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
            self._made_at[key] = next(self._moments)
            self._values[key] = (revision, value)
            return value

    def revision_of(self, key: Hashable) -> Hashable | None:
        """The revision that the remembered value of `key` was made from, if there is one."""
        held = self._values.get(key)
        return held[0] if held is not None else None

    def moment(self) -> int:
        """Now, for `forget`."""
        return next(self._moments)

    def forget(self, since: int = 0) -> None:
        """Drop what was made since a moment, when it may have been made from what was never saved."""
        for key in [key for key, made_at in list(self._made_at.items()) if made_at >= since]:
            self._values.pop(key, None)

    def _lock_of(self, key: Hashable) -> threading.Lock:
        with self._guard:
            return self._locks.setdefault(key, threading.Lock())
