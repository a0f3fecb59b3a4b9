"""The release list as pages, papers and the interface show it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from enum import StrEnum

from kb.nouns.bay.on_file import Tick

CAMERAS, RELEASED = "release-cameras", "released"
RELEARN = "release-relearn-"
"""How the keys of the relearns begin that a bulletin prints."""
CO_SIGN_AFTER = "release-co-sign-"
"""How the key begins of what somebody else signs for a newcomer, whose name follows."""
RELEARN_SAID = "Relearn: "


class Asks(StrEnum):
    """What must be read for a line, beside the tick."""

    NOTHING = ""
    ODOMETER = "odometer"
    CVN = "cvn"
    VIN = "vin"


@dataclass(frozen=True, slots=True)
class ReleaseItem:
    """One line; `answer` is a tick, or what is known of the cameras; empty `by` means open.

    `asks` says what must be read for it, `expected` what is known of the reading beforehand, `said` what was;
    `known` what our readings say of it, in words; `signers` who alone may settle it.
    """

    key: str
    text: str
    answer: str = ""
    by: str = ""
    at: datetime | None = None
    asks: Asks = Asks.NOTHING
    expected: str = ""
    said: Mapping[str, str] = field(default_factory=dict)
    known: tuple[str, ...] = ()
    signers: tuple[str, ...] = ()

    @property
    def relearn(self) -> str:
        """The relearn that the line is, as it is printed; empty of any other line."""
        return self.text.removeprefix(RELEARN_SAID) if self.key.startswith(RELEARN) else ""

    @property
    def is_co_signed(self) -> bool:
        """Whether one of its `signers` alone may settle it; where there are none, nobody may."""
        return self.key.startswith(CO_SIGN_AFTER)

    def answered(self, tick: Tick | None) -> ReleaseItem:
        """The same with what somebody answered."""
        if tick is None:
            return self
        return replace(self, answer=tick.measured, by=tick.by, at=tick.at, said=tick.said)


@dataclass(frozen=True, slots=True)
class Released:
    """Who let the vehicle go, when; with lines open why, the customer told, and which lines."""

    by: str
    at: datetime
    reason: str
    open_then: str

    @property
    def customer_told(self) -> bool:
        return bool(self.open_then)


@dataclass(frozen=True, slots=True)
class Release:
    """`cameras` is apart: required and not done, and not known, are not settled, as `cameras_open` says.

    `begun` and `installed`: whether any programming was begun for the concern, and whether any went in.
    """

    concern_id: int
    cameras: ReleaseItem
    items: tuple[ReleaseItem, ...]
    cameras_open: str
    begun: bool = True
    installed: bool = True
    released: Released | None = None

    @property
    def open_lines(self) -> tuple[str, ...]:
        """What is not settled, in words."""
        cameras = (self.cameras_open,) if self.cameras_open else ()
        return (*cameras, *(item.text for item in self.items if not item.by))

    @property
    def bound_by_law(self) -> tuple[str, ...]:
        """Open lines that nobody passes with a reason."""
        return tuple(item.text for item in self.items if item.asks is Asks.ODOMETER and not item.by)
