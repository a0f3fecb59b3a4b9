"""The three people, what they may do, and by which door they came in."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field, replace
from datetime import datetime
from enum import StrEnum

SIGN_AGAIN = "This is signed by name, and others use this device: show that it is you, by PIN or password."
READS_ONLY = "This token only reads. Make one that may change things on your own page."


class Role(StrEnum):
    """Technician, lead technician, owner."""

    TECH = "tech"
    LEAD = "lead"
    OWNER = "owner"


class Door(StrEnum):
    """How somebody came in. Who came by PIN has a technician's rights, whoever it is."""

    PASSWORD = "password"  # noqa: S105  # a word, not a secret
    ONE_CLICK = "one_click"
    PIN = "pin"
    TOKEN = "token"  # noqa: S105  # a word, not a secret


@dataclass(frozen=True, slots=True)
class CameBy:
    """The session or token behind a request; `row_id` is its own. `on_shared`: the shared device it is open
    on. There whoever signs something shows once more who it is; `has_signed`: with this request they did.
    """

    door: Door
    row_id: int
    ends_at: datetime
    on_shared: int | None = None
    reads_only: bool = False
    has_signed: bool = False


@dataclass(frozen=True, slots=True)
class Actor:
    """The person behind a request. `role` stays text: an unknown role is kept and denied everything.

    `came_by` is None for the console and for work that the program does by itself.
    """

    user_id: int
    name: str
    role: str
    came_by: CameBy | None = field(default=None, compare=False)

    @property
    def reads_only(self) -> bool:
        return self.came_by is not None and self.came_by.reads_only

    @property
    def session_id(self) -> int | None:
        """The browser session that they came by; None for a token, and where nobody came in."""
        by = self.came_by
        return by.row_id if by is not None and by.door is not Door.TOKEN else None

    @property
    def by_pin(self) -> bool:
        return self.came_by is not None and self.came_by.door is Door.PIN

    @property
    def on_shared(self) -> int | None:
        """The shared device that they are at; None on any other."""
        return self.came_by.on_shared if self.came_by is not None else None

    @property
    def must_sign(self) -> bool:
        """Whether a signature still needs to be shown who it is."""
        by = self.came_by
        return by is not None and by.on_shared is not None and not by.has_signed

    def who_signed(self) -> Actor:
        """The same, once they have shown who they are."""
        return replace(self, came_by=self.came_by and replace(self.came_by, has_signed=True))


_ASCENDING = (Role.TECH.value, Role.LEAD.value, Role.OWNER.value)


def at_most(role: str, highest: str) -> str:
    """The role, or `highest` where that is the lower one. One that is not known stays, and may do nothing."""
    if role not in _ASCENDING:
        return role
    if highest not in _ASCENDING:
        return ""
    return min(role, highest, key=_ASCENDING.index)


ROLE_WORDS = {Role.TECH.value: "technician", Role.LEAD.value: "lead technician", Role.OWNER.value: "owner"}


def not_for(actor: Actor, allowed: Collection[str]) -> str:
    """For whom something is, said to somebody else; who came by PIN learns what would let them."""
    who = " or ".join(words for role, words in ROLE_WORDS.items() if role in allowed)
    if actor.role not in ROLE_WORDS:
        return f"This is for the {who}. The role of {actor.name or 'this visitor'} is not known here."
    said = f"This is for the {who}; {actor.name} is signed in as {ROLE_WORDS[actor.role]}"
    return f"{said}, by PIN. With the password it may be more." if actor.by_pin else f"{said}."
