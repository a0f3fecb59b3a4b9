"""What can go wrong in the knowledge, in words a person can act on. No HTTP here."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


class KbError(Exception):
    """Base of every error that the knowledge raises on purpose.

    `code` is a stable word for programs, `message` a sentence for people that says what to do,
    `fields` names the inputs at fault, `details` carries what must not be lost.
    """

    code = "error"

    def __init__(
        self,
        message: str,
        *,
        fields: Mapping[str, str] | None = None,
        details: Mapping[str, Any] | None = None,
    ) -> None:
        super().__init__(message)
        self.message = message
        self.fields: dict[str, str] = dict(fields or {})
        self.details: dict[str, Any] = dict(details or {})


class BadInput(KbError):
    """A value that cannot be taken as it stands."""

    code = "bad_input"


class NotFound(KbError):
    """Nothing has that id here."""

    code = "not_found"


class Conflict(KbError):
    """Somebody else saved first; `details` holds both texts."""

    code = "conflict"


class NotAllowed(KbError):
    """The signed-in person's role may not do this."""

    code = "not_allowed"


class PasswordIsGiven(NotAllowed):
    """Signed in by a password that somebody else chose: it is changed before all else."""

    def __init__(self) -> None:
        super().__init__("Change your password first: somebody else chose the one that you have.")


class NotSignedIn(KbError):
    """Nobody is signed in."""

    code = "not_signed_in"


class TooMany(KbError):
    """Too many tries or calls; `details` says after how many seconds to come back (`retry_after`)."""

    code = "too_many"


class NotReady(KbError):
    """The shop is not whole yet; `details` says how far it is and after how many seconds to ask again."""

    code = "not_ready"


class Unreadable(KbError):
    """A file of which nothing could be read."""

    code = "unreadable"


class NotDone(KbError):
    """A full disk or another program stood in the way; what was there is as it was."""

    code = "not_done"
