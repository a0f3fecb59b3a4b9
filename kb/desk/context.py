"""What every use case is handed: one transaction, one person, one moment.

A use case is a function `name(desk, ...)` with a permission (`@may(...)`). It gathers from the records,
decides in the pure rooms, and saves. It never commits: the block that made the desk does.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Collection, Hashable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time
from functools import partial
from pathlib import Path
from typing import Any, Concatenate, ParamSpec, TypeVar, cast

from sqlmodel import Session

from kb.desk import opening_database
from kb.desk.memory import Memory
from kb.desk.shop_facts import ShopFacts, facts_of
from kb.errors import BadInput, NotAllowed
from kb.nouns.people import READS_ONLY, SIGN_AGAIN, Actor, Role, not_for
from kb.records import pending
from kb.records.engine import CONNECTIONS, Records, database_file
from kb.records.store.bay.writing import Stamp
from kb.records.store.notes import checks as check_store
from kb.records.store.shop import shop as shop_store
from kb.records.store.shop.opening import the_shop

Args = ParamSpec("Args")
Result = TypeVar("Result")

NOBODY = Actor(user_id=0, name="", role="")
"""Nobody signed in; may do nothing that needs a role."""

CONSOLE = Actor(user_id=0, name="console", role=Role.OWNER.value)
"""Whoever sits at the server's own console: the command line acts as this person, never a request."""


_APART = 3
"""Connections for what no request waits for: the index, the nightly copy, work that goes on by itself."""
EVERYBODY = frozenset(role.value for role in Role)
"""The roles of all who are signed in."""


@dataclass(frozen=True, slots=True)
class Desk:
    """One request's place to work. `today` is the shop's local day, `now` the instant in UTC.

    `gathered` is what a request that only reads has asked for already; None in one that may write.
    `data_folder` is as in `RunningShop`.
    """

    session: Session
    actor: Actor
    now: datetime
    today: date
    shop: ShopFacts
    memory: Memory
    data_folder: Path | None = None
    gathered: dict[Hashable, Any] | None = None

    @property
    def morning(self) -> datetime:
        """The moment at which the shop's day began."""
        return datetime.combine(self.today, time.min, tzinfo=self.shop.zone)

    def once(self, key: Hashable, gather: Callable[[], Result]) -> Result:
        """What `gather` gives, gathered once in a request that only reads; one that writes may change it."""
        if self.gathered is None:
            return gather()
        at = (key, self.today, self.actor)
        if at not in self.gathered:
            self.gathered[at] = gather()
        return cast("Result", self.gathered[at])

    def revisions(self) -> dict[str, int]:
        return pending.revisions(self.session, self.shop.id)

    def up_to(self, *topics: str) -> tuple[int, ...]:
        """The revisions of these topics: what is remembered of them is good until one is another."""
        revisions = self.revisions()
        return tuple(revisions[topic] for topic in topics)

    def bump(self, topic: str) -> int:
        return pending.bump(self.session, self.shop.id, topic)

    def stamp(self, import_id: int | None = None) -> Stamp:
        """Whoever is at work, now; of an import its job."""
        return Stamp(self.shop.id, self.actor.name, self.now, import_id)

    def must_be_signed(self) -> None:
        """What is signed by name on a shared device is shown who it is by: BadInput where it was not."""
        if self.actor.must_sign:
            raise BadInput(SIGN_AGAIN, fields={"signature": "needed"})

    def note_down(self, action: str, noun: str, noun_id: int | None, **detail: Any) -> None:
        """Append to the trail of who did what."""
        shop_store.append_trail(
            self.session,
            self.shop.id,
            at=self.now,
            user_id=self.actor.user_id or None,
            who=self.actor.name,
            action=action,
            noun=noun,
            noun_id=noun_id,
            detail=detail,
        )


def may(
    *roles: Role,
) -> Callable[[Callable[Concatenate[Desk, Args], Result]], Callable[Concatenate[Desk, Args], Result]]:
    """The use case is for these roles; everybody else, and every unknown role, is refused."""
    allowed = frozenset(role.value for role in roles)

    def guard(
        use_case: Callable[Concatenate[Desk, Args], Result],
    ) -> Callable[Concatenate[Desk, Args], Result]:
        @functools.wraps(use_case)
        def guarded(desk: Desk, /, *args: Args.args, **kwargs: Args.kwargs) -> Result:
            refuse_other_roles(desk.actor, allowed)
            return use_case(desk, *args, **kwargs)

        guarded.allowed_roles = allowed  # type: ignore[attr-defined]  # read by routes and the default-deny test
        return guarded

    return guard


anyone_in_the_shop = may(Role.TECH, Role.LEAD, Role.OWNER)
lead_or_owner = may(Role.LEAD, Role.OWNER)
owner_only = may(Role.OWNER)


def open_to_anyone(
    use_case: Callable[Concatenate[Desk, Args], Result],
) -> Callable[Concatenate[Desk, Args], Result]:
    """The use case is also for nobody signed in: signing in, and what decides whether somebody is."""
    use_case.allowed_roles = None  # type: ignore[attr-defined]  # as above
    return use_case


def refuse_other_roles(actor: Actor, allowed: Collection[str]) -> None:
    """Raise NotAllowed for a person of any role but these."""
    if actor.role not in allowed:
        raise NotAllowed(not_for(actor, allowed))


Clock = Callable[[], datetime]


def utc_now() -> datetime:
    return datetime.now(UTC)


class RunningShop:
    """One process's hold on the shop: its database, its memory, its clock.

    `data_folder` is where this computer keeps what belongs to the shop and is in no database: the folder of a
    SQLite file; for PostgreSQL, whose hosts each have their own, the one that was named, or None.
    """

    def __init__(
        self, records: Records, facts: ShopFacts, clock: Clock, data_folder: Path | None = None
    ) -> None:
        file = database_file(records.engine.url)
        self.data_folder = file.parent if file else data_folder
        self.records = records
        self.facts = facts
        self.clock = clock
        self.memory = Memory()

    @classmethod
    def open(
        cls,
        url: str,
        *,
        clock: Clock = utc_now,
        name: str = "Our shop",
        is_demo: bool = False,
        data_folder: Path | None = None,
    ) -> RunningShop:
        """Open the database at `url`, made and brought up to date; a new shop gets its starting checks.

        Raises what `opening.for_work` raises.
        """
        records = Records(opening_database.for_work(url, clock()))
        with records.reading() as session:
            row = the_shop(session)
        if row is None:
            with records.writing() as session:
                row = shop_store.ensure_shop(
                    session,
                    name=name,
                    timezone="America/New_York",
                    currency="USD",
                    is_demo=is_demo,
                    now=clock(),
                )
                check_store.seed(session, row.id or 0)
        return cls(records, facts_of(row), clock, data_folder)

    @classmethod
    def look_at(cls, url: str, *, clock: Clock = utc_now, data_folder: Path | None = None) -> RunningShop:
        """Open the database for reading alone: raises rather than make or upgrade it."""
        records = Records(opening_database.as_it_is(url))
        with records.reading() as session:
            return cls(records, facts_of(the_shop(session)), clock, data_folder)

    @contextmanager
    def reading(self, actor: Actor = NOBODY) -> Iterator[Desk]:
        with self.records.reading() as session:
            yield replace(self._desk(session, actor), gathered={})

    @contextmanager
    def writing(self, actor: Actor = NOBODY) -> Iterator[Desk]:
        """One transaction. What is remembered of one that is rolled back is forgotten with it. Raises
        NotAllowed for whoever came by a token that only reads.
        """
        if actor.reads_only:
            raise NotAllowed(READS_ONLY)
        with self.records.writing(partial(self._forget_what_was_counted, self.memory.moment())) as session:
            yield self._desk(session, actor)

    @property
    def most_at_once(self) -> int:
        """Requests that may be at work at once: a connection for each, and some for work apart from them."""
        return CONNECTIONS - _APART

    def close(self) -> None:
        self.records.close()

    def _forget_what_was_counted(self, since: int, session: Session) -> None:
        if pending.has_counted(session):
            self.memory.forget(since)

    def _desk(self, session: Session, actor: Actor) -> Desk:
        now = self.clock()
        revision = pending.revisions(session, self.facts.id)["settings"]
        self.facts = self.memory.recall("shop", revision, lambda: facts_of(the_shop(session)))
        return Desk(session, actor, now, self.facts.day_of(now), self.facts, self.memory, self.data_folder)
