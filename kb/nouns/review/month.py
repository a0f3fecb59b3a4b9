"""The month of a shop: each thing that was done, and what a month of them comes to by make and way."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum


class What(StrEnum):
    """What a line of the month tells."""

    SITTING = "sitting"
    MODULE = "module"
    REFLASH = "reflash"
    BILLED = "billed"
    CREDITED = "credited"
    COST = "cost"
    SUBSCRIPTION = "subscription"
    TURNED_AWAY = "turned_away"


class Missing(StrEnum):
    """What would have kept a concern here that was turned away, or that nothing would have.

    `CHOSEN`: it was sent out, though nothing was missing that anybody wrote down.
    """

    DEVICE = "device"
    SUBSCRIPTION = "subscription"
    TOOL = "tool"
    NOT_SAID = "not_said"
    CHOSEN = "chosen"
    FREE_ELSEWHERE = "free_elsewhere"
    CUSTOMER = "customer"


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of equipment in use, with the version that was entered for the day, in words."""

    id: int
    kind: str
    name: str
    version: str = ""


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing of a month.

    | `what`         | `told`                                                          | `minor`             |
    |----------------|-----------------------------------------------------------------|---------------------|
    | `sitting`      | billed, unbilled (nothing was, or all was credited)             |                     |
    | `module`       | its result; "recovered_later": its failure has a line before    |                     |
    | `reflash`      | how it stands: cured, waiting, comeback ...                     |                     |
    | `billed`       | who paid: customer, manufacturer                                | the amount          |
    | `credited`     | who paid                                                        | the amount          |
    | `cost`         | who paid; what the shop paid is borne                           | the amount          |
    | `subscription` | its plan                                                        | the month's share   |
    | `turned_away`  | a Missing                                                       |                     |

    `minutes` are those of a sitting, None where nobody wrote them down; `ref` is the number of the
    repair order, which two vehicles may share, `order_id` its id, told where it is counted by. `of_comeback`:
    a cost that was written down with a comeback.
    """

    what: What
    on: date
    make: str
    way: str
    told: str
    ref: str = ""
    minor: int = 0
    minutes: int | None = None
    pieces: tuple[Piece, ...] = ()
    order_id: int = 0
    of_comeback: bool = False


@dataclass(frozen=True, slots=True)
class Figures:
    """What entries come to. Money is in minor units.

    `failed`: modules whose programming stopped, was lost or had to be recovered; `recovered` of those, also
    where the failure was before. `cured` to `other` are the reflashes as the review counts them. `cost_minor`
    is all that was spent on it, `borne_minor` the part that the shop bore, `comeback_minor` of that what was
    written down with comebacks. `minutes` are of sittings here,
    `unbilled_minutes` of those for which nothing was billed, or all of it credited. `access_minor`: the
    month's share of programming subscriptions.
    """

    sittings: int = 0
    tried: int = 0
    done: int = 0
    failed: int = 0
    recovered: int = 0
    nothing_newer: int = 0
    cured: int = 0
    not_cured_at_road_test: int = 0
    comebacks: int = 0
    waiting: int = 0
    other: int = 0
    billed_minor: int = 0
    credited_minor: int = 0
    cost_minor: int = 0
    borne_minor: int = 0
    comeback_minor: int = 0
    minutes: int = 0
    unbilled_minutes: int = 0
    without_minutes: int = 0
    access_minor: int = 0
    turned_away: int = 0

    @property
    def reflashes(self) -> int:
        return self.cured + self.not_cured_at_road_test + self.comebacks + self.waiting + self.other

    @property
    def left_minor(self) -> int:
        """What is left of what was billed, before anybody's wages."""
        return self.billed_minor - self.credited_minor - self.borne_minor

    @property
    def access_each_minor(self) -> int | None:
        """A sitting's share of the subscriptions; None without a sitting."""
        return round(self.access_minor / self.sittings) if self.sittings else None


@dataclass(frozen=True, slots=True)
class MonthLine:
    """A make and a way; `more`: how many others are added up in it, which have no line of their own."""

    make: str
    way: str
    figures: Figures
    more: int = 0


@dataclass(frozen=True, slots=True)
class Then:
    """A figure of an earlier month, as it stood when that month was as old; `luck` in words.

    `among`: what it is a share of, None for a plain count.
    """

    count: int
    among: int | None
    luck: str


@dataclass(frozen=True, slots=True)
class Compared:
    """A figure of the month beside the month before and the same month of the year before."""

    name: str
    count: int
    among: int | None
    before: Then
    year_before: Then


@dataclass(frozen=True, slots=True)
class PieceLine:
    """A piece with a version: modules tried with it and failed, in the month and in twelve months.

    `luck`: its twelve months beside those of all other pieces and versions of its kind.
    """

    kind: str
    name: str
    version: str
    tried: int
    failed: int
    tried_in_year: int
    failed_in_year: int
    luck: str


@dataclass(frozen=True, slots=True)
class TurnedAway:
    """Concerns of a make that were turned away for want of one thing."""

    make: str
    missing: Missing
    count: int


@dataclass(frozen=True, slots=True)
class MonthReport:
    """`last` is the last day counted: of a month that still runs, today."""

    first: date
    last: date
    as_of: date
    lines: tuple[MonthLine, ...]
    total: Figures
    before: Figures
    year_before: Figures
    compared: tuple[Compared, ...] = ()
    pieces: tuple[PieceLine, ...] = ()
    turned_away: tuple[TurnedAway, ...] = ()
    entries: tuple[Entry, ...] = field(default=(), repr=False)
