"""A form sent twice (two quick taps, a reload) gives the first result, while it is of the same content."""

from __future__ import annotations

import hashlib
import threading
import time
from collections import OrderedDict

from web.forms import TypedForm

FIELD = "once"
KEPT_SECONDS = 600
MOST_KEPT = 5_000
LONGEST_WAIT_SECONDS = 10


class SentAlready(Exception):
    """Raised for a form that was taken before; its result is at `path`."""

    def __init__(self, path: str) -> None:
        super().__init__(path)
        self.path = path


class SentForms:
    """What this process took in the last minutes, by person, address, the form's own key and its content."""

    def __init__(self) -> None:
        self._lock = threading.Condition()
        self._sent: OrderedDict[str, tuple[float, str]] = OrderedDict()
        self._at_work: set[str] = set()

    def claim(self, key: str) -> None:
        """Go on with this form, after the same one that is at work. Raises SentAlready if that was taken."""
        with self._lock:
            self._lock.wait_for(lambda: key not in self._at_work, LONGEST_WAIT_SECONDS)
            when, path = self._sent.get(key, (0.0, ""))
            if path and time.monotonic() - when < KEPT_SECONDS:
                raise SentAlready(path)
            self._at_work.add(key)

    def taken(self, key: str, path: str) -> None:
        with self._lock:
            self._sent[key] = (time.monotonic(), path)
            while len(self._sent) > MOST_KEPT:
                self._sent.popitem(last=False)
            self._at_work.discard(key)
            self._lock.notify_all()

    def release(self, key: str) -> None:
        with self._lock:
            self._at_work.discard(key)
            self._lock.notify_all()


def key_of(who: str, path: str, typed: TypedForm) -> str:
    """Empty for a form without a key of its own."""
    if not typed.raw(FIELD):
        return ""
    return hashlib.sha256(repr((who, path, sorted(typed.values.items()))).encode()).hexdigest()
