"""What is sent in is taken once, however often it is sent: by a thumb, a lost connection or a program.

Whoever sends it gives it a key. That key is kept with what came of it in the same transaction as the work, so
that a crash leaves both or neither, and the database lets no key in twice, whichever process takes it. The
same key with the same content is answered as at first; with another content it is refused.
"""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from types import TracebackType

from kb.desk.context import Desk, RunningShop
from kb.errors import Conflict
from kb.nouns.people import Actor
from kb.records.store.shop import sent_once as store
from kb.records.tables import SentOnce

KEPT = timedelta(days=30)
"""After this a key is forgotten. A browser forgets what it could not send before that (`unsaved.js`)."""

_OTHERWISE = "This was saved already, before it was changed. To save it as it is now as well, send it again."


@dataclass(frozen=True, slots=True)
class Answer:
    """What was answered at first. `status` is 0 where that is not known: the work went on apart from it."""

    status: int
    body: str
    at: datetime


class SentBefore(Exception):
    """Raised for what was taken already, with the answer it had."""

    def __init__(self, answer: Answer) -> None:
        super().__init__(answer.body)
        self.answer = answer


class SentOtherwise(Conflict):
    """The key was used already, for something else. `answer` is what that had."""

    def __init__(self, message: str, answer: Answer) -> None:
        super().__init__(message)
        self.answer = answer


class Sending:
    """One thing sent by one person, and the one transaction in which it is saved.

    That stays open after `writing` ended well, until `answered` keeps the answer with it; a block that raises
    undoes it at once. Leaving the sending without an answer keeps what was saved, by an error it does not.
    `key` is whatever the sender calls it, `content` all that it says: only their hashes are kept.
    """

    def __init__(self, shop: RunningShop, actor: Actor, key: str, content: str) -> None:
        self._shop, self._actor = shop, actor
        self._key = hashlib.sha256(f"{actor.user_id} {key}".encode()).hexdigest()
        # By the key, which is nowhere kept: passwords in a form cannot be guessed from it.
        self._content = hmac.new(key.encode(), content.encode(), hashlib.sha256).hexdigest()
        self._open = ExitStack()
        self._desk: Desk | None = None
        self._is_first = self._is_answered = False

    def signed_by(self, actor: Actor) -> None:
        """Who sends it has shown who they are: what is saved is by the same person, signed."""
        self._actor = actor

    def refuse_again(self, desk: Desk) -> None:
        """Raise SentBefore for the same, SentOtherwise for another content under its key."""
        row = store.with_key(desk.session, self._key)
        if row is None:
            return
        answer = Answer(row.status, row.answer, row.at)
        if row.content_hash == self._content:
            raise SentBefore(answer)
        raise SentOtherwise(_OTHERWISE, answer)

    @contextmanager
    def reading(self) -> Iterator[Desk]:
        """What is on file, with what this sending saved so far."""
        if self._desk is not None:
            yield self._desk
            return
        with self._shop.reading(self._actor) as desk:
            yield desk

    @contextmanager
    def writing(self) -> Iterator[Desk]:
        """The one transaction; after the answer one of its own. Raises what `refuse_again` raises."""
        if self._is_answered:
            with self._shop.writing(self._actor) as desk:
                yield desk
            return
        desk = self._desk or self._begin()
        try:
            yield desk
        except BaseException as error:
            self._close(error)
            raise

    def settle(self) -> None:
        """Let what was saved stand now: the answer is none to be given twice, or comes after work apart
        that needs the pen.
        """
        if self._desk is not None:
            self._keep(self._desk, 0, "")
            self._close()

    def answered(self, status: int, body: str) -> None:
        """Keep the answer with what was saved, and let both stand. The first answer is the one."""
        if self._is_answered:
            return
        with self.writing() if self._desk else self._shop.writing(self._actor) as desk:
            self._keep(desk, status, body)
        self._close()
        self._is_answered = True

    def __enter__(self) -> Sending:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if error is None:
            self.settle()
        self._close(error)

    def _begin(self) -> Desk:
        desk = self._desk = self._open.enter_context(self._shop.writing(self._actor))
        try:
            if not self._is_first:
                self.refuse_again(desk)
        except BaseException as error:
            self._close(error)
            raise
        self._is_first = True
        return desk

    def _keep(self, desk: Desk, status: int, body: str) -> None:
        row = store.with_key(desk.session, self._key) or SentOnce(
            shop_id=desk.shop.id, key_hash=self._key, content_hash=self._content, at=desk.now
        )
        if not row.status:
            row.status, row.answer = status, body
            store.keep(desk.session, row, desk.now - KEPT)

    def _close(self, error: BaseException | None = None) -> None:
        """Commit, or by an error roll back."""
        opened, self._open, self._desk = self._open, ExitStack(), None
        opened.__exit__(type(error) if error else None, error, error.__traceback__ if error else None)
