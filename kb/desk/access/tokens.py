"""Tokens: what programs come in by, for a person, until a day. Only their hashes are kept."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

from kb.desk.access import secrets
from kb.desk.access.accounts import STARTING_PEOPLE, make_account
from kb.desk.access.lifetimes import LONGEST_TOKEN_DAYS, TOKEN_DAYS, holds
from kb.desk.access.whose import refuse_by_pin, whose
from kb.desk.context import Desk, anyone_in_the_shop, open_to_anyone, owner_only
from kb.errors import BadInput, NotAllowed, NotFound
from kb.nouns.people import Actor, CameBy, Door, at_most
from kb.records.store.rows import row_of_shop, save
from kb.records.store.shop import people
from kb.records.store.shop import ways_in as store
from kb.records.tables import ApiToken, User

_LONGEST_NAME = 60
_AT_THE_CONSOLE = "made on the server's console"


class TokenScope(StrEnum):
    """What a token may do: all that its person may, what a lead or technician may of it, or only read it."""

    ROLE = "role"
    LEAD = "lead"
    TECH = "tech"
    READ = "read"


# One that reads only reads all that its person may, which is more than a narrower role does.
_WITHIN = {
    TokenScope.ROLE: frozenset(TokenScope),
    TokenScope.LEAD: frozenset({TokenScope.LEAD, TokenScope.TECH}),
    TokenScope.TECH: frozenset({TokenScope.TECH}),
    TokenScope.READ: frozenset({TokenScope.READ}),
}


@dataclass(frozen=True, slots=True)
class TokenDraft:
    """A token as it is asked for; it ends by itself after so many days, a year unless others are said."""

    name: str
    scope: TokenScope = TokenScope.ROLE
    days: int = TOKEN_DAYS


@dataclass(frozen=True, slots=True)
class TokenView:
    """A token without its secret, which nobody sees again. `last_used_on`: null where it never was."""

    id: int
    name: str
    scope: TokenScope
    made_on: date
    ends_on: date
    last_used_on: date | None
    is_over: bool


@dataclass(frozen=True, slots=True)
class NewToken:
    """A fresh token: `token` is shown this once."""

    token: str
    kept: TokenView


@dataclass(frozen=True, slots=True)
class TokenHolder:
    """Who calls by a token, and whether its use today is to be written down."""

    actor: Actor
    worth_noting: bool


@open_to_anyone
def who_holds_token(desk: Desk, token: str) -> TokenHolder | None:
    """The person whose token this is, with the rights that it leaves them; None where it is over."""
    found = store.token_by_hash(desk.session, secrets.kept(token))
    if found is None:
        return None
    row, user = found
    if row.revoked_at is not None or user.disabled_at is not None or _is_over(row, desk.now):
        return None
    by = CameBy(
        Door.TOKEN, row.id or 0, row.ends_at or desk.now, reads_only=row.scope == TokenScope.READ.value
    )
    actor = Actor(user.id or 0, user.name, _role(row.scope, user), by)
    return TokenHolder(actor, row.last_used_on != desk.today)


@open_to_anyone
def note_token_use(desk: Desk, token_id: int) -> None:
    """Write down that a token was used today: by the day, so that reading does not write at each call."""
    row = row_of_shop(desk.session, ApiToken, desk.shop.id, token_id)
    if row is not None:
        row.last_used_on = desk.today


@anyone_in_the_shop
def list_tokens(desk: Desk, user_id: int) -> tuple[TokenView, ...]:
    """A person's tokens, newest first, those past their end too; for that person and the owner."""
    user = whose(desk, user_id)
    return tuple(_view(desk, row) for row in store.tokens_of(desk.session, user.id or 0))


@anyone_in_the_shop
def make_token(desk: Desk, draft: TokenDraft) -> NewToken:
    """A new token of one's own. By a token none that may do or last more than itself, by a PIN none at all.

    Raises BadInput for a missing name or a span past two years.
    """
    refuse_by_pin(desk, "A new token")
    name = draft.name.strip()
    if not name or len(name) > _LONGEST_NAME:
        raise BadInput(
            "Call the token by what uses it, in up to 60 letters.", fields={"name": "what uses it"}
        )
    if not 1 <= draft.days <= LONGEST_TOKEN_DAYS:
        raise BadInput(
            f"A token lasts 1 to {LONGEST_TOKEN_DAYS} days.", fields={"days": f"1 to {LONGEST_TOKEN_DAYS}"}
        )
    ends_at = desk.now + timedelta(days=draft.days)
    _refuse_to_grow(desk, draft.scope, ends_at)
    return _make(desk, whose(desk, desk.actor.user_id), name, draft.scope, ends_at)


@anyone_in_the_shop
def end_token(desk: Desk, user_id: int, token_id: int) -> None:
    """End one token of a person; for that person and the owner. Ended already is no error."""
    user = whose(desk, user_id)
    row = row_of_shop(desk.session, ApiToken, desk.shop.id, token_id)
    if row is None or row.user_id != user.id:
        raise NotFound("There is no such token.")
    if row.revoked_at is None:
        row.revoked_at = desk.now
        desk.note_down("ended a token of", "user", user.id, name=row.name)


@owner_only
def new_token(desk: Desk, name: str) -> str:
    """A new token of a person with their role's rights, for a year. It is shown once; only its hash is kept.

    In a database without users, `tech`, `lead` or `owner` is made first, with the role of that name and no
    password. Raises NotFound for any other name, NotAllowed for somebody who is disabled.
    """
    name = name.strip().lower()
    if name in STARTING_PEOPLE and not people.users(desk.session, desk.shop.id):
        make_account(desk, name, STARTING_PEOPLE[name], name, None)
    user = people.user_named(desk.session, desk.shop.id, name)
    if user is not None and user.disabled_at is not None:
        raise NotAllowed(f"{name} is disabled. Enable the account first.", fields={"name": "disabled"})
    if user is None:
        raise NotFound(
            f"Nobody here is called {name!r}. Make the account first.", fields={"name": "not known"}
        )
    ends_at = desk.now + timedelta(days=TOKEN_DAYS)
    return _make(desk, user, _AT_THE_CONSOLE, TokenScope.ROLE, ends_at).token


def _make(desk: Desk, user: User, name: str, scope: TokenScope, ends_at: datetime) -> NewToken:
    token = secrets.new_secret()
    row = ApiToken(
        shop_id=desk.shop.id,
        user_id=user.id or 0,
        token_hash=secrets.kept(token),
        created_at=desk.now,
        name=name,
        scope=scope.value,
        ends_at=ends_at,
    )
    save(desk.session, row)
    desk.note_down("made a token for", "user", user.id, name=name, scope=scope.value)
    return NewToken(token, _view(desk, row))


def _refuse_to_grow(desk: Desk, scope: TokenScope, ends_at: datetime) -> None:
    by = desk.actor.came_by
    if by is None or by.door is not Door.TOKEN:
        return
    row = row_of_shop(desk.session, ApiToken, desk.shop.id, by.row_id)
    if row is None or scope not in _WITHIN[TokenScope(row.scope)]:
        raise NotAllowed("This token may not make one that may do more. Sign in on the pages for that.")
    if ends_at > by.ends_at:
        raise NotAllowed("This token may not make one that lasts longer. Sign in on the pages for that.")


def _role(scope: str, user: User) -> str:
    return user.role if scope in (TokenScope.ROLE.value, TokenScope.READ.value) else at_most(user.role, scope)


def _is_over(row: ApiToken, now: datetime) -> bool:
    return not holds(row.created_at, row.ends_at, now)


def _view(desk: Desk, row: ApiToken) -> TokenView:
    return TokenView(
        row.id or 0,
        row.name,
        TokenScope(row.scope),
        desk.shop.day_of(row.created_at),
        desk.shop.day_of(row.ends_at or row.created_at),
        row.last_used_on,
        _is_over(row, desk.now),
    )
