"""Bodies about people, sign-ins, sign-offs and people's own access."""

from __future__ import annotations

from api.schemas.base import Day, DayAhead, In, Out, Text, Whole, Word
from kb.desk.access.lifetimes import TOKEN_DAYS
from kb.desk.access.tokens import TokenScope
from kb.nouns.shop.sign_offs import Access, AccessKind, SignOff, WorkKind


class SignInBody(In):
    name: Word
    password: Word


class MeOut(Out):
    """Who is signed in. Cookie sign-ins send `form_token` back in the header X-Form-Token."""

    name: str
    role: str
    form_token: str


class UserIn(In):
    name: Word
    display_name: Word = ""
    role: Word
    password: Word


class UserChange(In):
    version: int
    display_name: Word
    role: Word


class PasswordIn(In):
    """`old_password` is asked of whoever changes their own."""

    password: Word
    old_password: Text = ""


class SignOffBody(In):
    """Each kind on each make; no make: every make. `valid_to` is the last day, null while it stays open.

    `newcomer`: the first three programmings of each kind are co-signed at prep and release.
    """

    kinds: tuple[WorkKind, ...]
    makes: tuple[Word, ...] = ()
    trained_on: Day | None = None
    trained_what: Word = ""
    valid_to: DayAhead | None = None
    newcomer: bool = False
    note: Text = ""


class AccessBody(In):
    """Whose access to which make ends when; never a user name, password or key: such a note is refused."""

    kind: AccessKind
    make: Word
    ends_on: DayAhead | None = None
    note: Text = ""


class PersonSignOffs(Out):
    """What a person is signed off for, and their own credentials and registrations."""

    sign_offs: tuple[SignOff, ...]
    own_access: tuple[Access, ...]


class TokenBody(In):
    """A token by what uses it: what it may do (`scope`), and how many days it lasts."""

    name: Word
    scope: TokenScope = TokenScope.ROLE
    days: Whole = TOKEN_DAYS
