"""Who is calling: a bearer token, or the session cookie with its form token."""

from __future__ import annotations

from collections.abc import Collection
from contextlib import AbstractContextManager, suppress
from dataclasses import dataclass
from datetime import timedelta

from fastapi import Request, Response
from sqlalchemy.exc import OperationalError

from api.connection import cookies
from api.connection.addresses import as_address, is_loopback
from api.form_tokens import is_token
from api.rate_limits import Limits
from kb.desk.access import devices, sessions, sign_ins, tokens
from kb.desk.access.devices import DEVICE_IS_KNOWN, Device
from kb.desk.access.lifetimes import SESSION_LASTS
from kb.desk.context import NOBODY, Desk, RunningShop, refuse_other_roles
from kb.desk.sent_once import Sending
from kb.errors import NotAllowed, NotSignedIn, PasswordIsGiven, TooMany
from kb.nouns.people import READS_ONLY, Actor, CameBy, Door

COOKIE = "beforeflash_session"
DEVICE_COOKIE = "beforeflash_device"
SHARED_COOKIE = "beforeflash_shared"
FORM_TOKEN_HEADER = "X-Form-Token"  # noqa: S105  # a header's name, not a secret
_HANDED_ON = ("forwarded", "via", "x-forwarded-for", "x-forwarded-host", "x-real-ip")
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})


@dataclass(frozen=True, slots=True)
class Call:
    """One request and the person behind it. `reading` and `writing` open its one transaction.

    `form_token` is what forms of a cookie sign-in must carry; a bearer token has none. `sending`: the request
    came with a key by which it is taken once. `worth_noting`: this use of the session or token is written
    down.
    """

    shop: RunningShop
    actor: Actor
    display_name: str = ""
    form_token: str = ""
    sending: Sending | None = None
    worth_noting: bool = False
    password_is_given: bool = False

    @property
    def signed_in(self) -> bool:
        return self.actor is not NOBODY

    def reading(self) -> AbstractContextManager[Desk]:
        return self.sending.reading() if self.sending else self.shop.reading(self.actor)

    def writing(self) -> AbstractContextManager[Desk]:
        return self.sending.writing() if self.sending else self.shop.writing(self.actor)

    def settle(self) -> None:
        """Before work apart: it needs the pen, and what it works on."""
        if self.sending:
            self.sending.settle()


def who_calls(request: Request) -> Call:
    """The person behind the request, or NOBODY; a bearer token goes before the cookie. A screen that is
    turned to a customer calls nothing here.
    """
    shop: RunningShop = request.app.state.shop
    scheme, _, token = request.headers.get("Authorization", "").partition(" ")
    if scheme.lower() == "bearer":
        with shop.reading() as desk:
            holder = tokens.who_holds_token(desk, token.strip())
        if holder is None:
            return Call(shop, NOBODY)
        return Call(shop, holder.actor, holder.actor.name, worth_noting=holder.worth_noting)
    cookie = cookies.read(request, COOKIE)
    if not cookie:
        return Call(shop, NOBODY)
    with shop.reading() as desk:
        visitor = sessions.who_holds_cookie(desk, cookie)
    if visitor is None or visitor.handed_over is not None:
        return Call(shop, NOBODY)
    return Call(
        shop,
        visitor.actor,
        visitor.display_name,
        visitor.form_token,
        worth_noting=visitor.worth_noting,
        password_is_given=visitor.password_is_given,
    )


def note_use(request: Request, shop: RunningShop, by: CameBy | None) -> None:
    """Write down that a session or token was used; no refusal where the database cannot write just now."""
    if by is None:
        return
    with suppress(OperationalError), shop.writing() as desk:
        if by.door is Door.TOKEN:
            tokens.note_token_use(desk, by.row_id)
        else:
            used = request.headers.get("User-Agent", ""), cookies.read(request, SHARED_COOKIE)
            sessions.note_visit(desk, by.row_id, *used)


def refuse_foreign_form(call: Call, sent: str) -> None:
    """Another site cannot read the form token, so a cookie alone changes nothing. Raises NotAllowed."""
    if call.form_token and not is_token(sent, call.form_token):
        raise NotAllowed("This form is out of date. Load the page again and repeat it.")


def refuse_given_password(call: Call, request: Request) -> None:
    """Somebody else chose it: they change it before all else. Raises PasswordIsGiven."""
    before = {"/api/me", "/api/sign-out", f"/api/users/{call.actor.user_id}/password"}
    if call.password_is_given and request.url.path not in before:
        raise PasswordIsGiven


def let_in(request: Request, roles: Collection[str]) -> None:
    """Settle who calls before anything of the body is looked at; `call_of` gives it to the route.

    Raises NotSignedIn for nobody, NotAllowed for another role, a cookie's unsafe call without form token, and
    whatever else than reading by a token that only reads.
    """
    call = who_calls(request)
    if not call.signed_in:
        limit_anonymous(request)
        raise not_signed_in()
    if request.method not in SAFE_METHODS:
        refuse_foreign_form(call, request.headers.get(FORM_TOKEN_HEADER, ""))
        if call.actor.reads_only:
            raise NotAllowed(READS_ONLY)
    refuse_given_password(call, request)
    refuse_other_roles(call.actor, roles)
    request.state.call = call


def let_anybody_in(request: Request) -> None:
    """The same where nobody need be known: who is not, is counted. Raises TooMany."""
    call = who_calls(request)
    if not call.signed_in:
        limit_anonymous(request)
    request.state.call = call


def call_of(request: Request) -> Call:
    """Who was let in."""
    call: Call = request.state.call
    return call


def limit_anonymous(request: Request) -> None:
    """Count a call of somebody unknown; raises TooMany."""
    limits: Limits = request.app.state.limits
    wait = limits.take(request.app.state.shop, address(request))
    if wait > timedelta():
        seconds = int(wait.total_seconds()) + 1
        raise TooMany(f"Too many calls. Wait {seconds} s and try again.", details={"retry_after": seconds})


def sign_in(shop: RunningShop, request: Request, name: str, password: str) -> sessions.SignedIn:
    """Open a browser session for this browser; raises what `sign_ins.sign_in` raises."""
    known_by = cookies.read(request, DEVICE_COOKIE)
    return sign_ins.sign_in(shop, name, password, device_cookie=known_by, address=address(request))


def device_of(desk: Desk, request: Request) -> Device:
    """What the browser is known by."""
    return devices.device_of(desk, cookies.read(request, DEVICE_COOKIE), address(request))


def address(request: Request) -> str:
    """Of the one who asks. A socket for both versions of IP writes all of IPv4 into one network of IPv6: its
    devices would wait for each other.
    """
    said = request.client.host if request.client else "unknown"
    return str(as_address(said) or said)


def asked_from_this_machine(request: Request) -> bool:
    """Whether the browser runs beside the server: it calls from a loopback address by a loopback name (a name
    of somebody else's that leads here is none), and no proxy handed the call on.
    """
    handed_on = any(name in request.headers for name in _HANDED_ON)
    return is_loopback(address(request)) and not handed_on and is_loopback(request.url.hostname or "")


def is_in_the_open(request: Request) -> bool:
    """Whether others in the network can read what is sent: plain HTTP from another computer."""
    return request.url.scheme == "http" and not is_loopback(address(request))


def give_cookie(request: Request, response: Response, signed_in: sessions.SignedIn) -> None:
    """The session's cookie, and the one by which the device is known when somebody signs in again."""
    for name, value, lasts in (
        (COOKIE, signed_in.cookie, SESSION_LASTS),
        (DEVICE_COOKIE, signed_in.device_cookie, DEVICE_IS_KNOWN),
    ):
        cookies.give(request, response, name, value, lasts)


def take_cookie(request: Request, response: Response) -> None:
    cookies.take(request, response, COOKIE)


def not_signed_in() -> NotSignedIn:
    return NotSignedIn("Sign in first, or send a token: Authorization: Bearer TOKEN.")
