"""Who is signed off for what: entered by lead and owner, seen whole by them, by a technician their own."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.saving import row_of, saved
from kb.errors import BadInput, NotAllowed
from kb.nouns.copying import columns_of, copied
from kb.nouns.people import Role
from kb.nouns.shop.secrets_named import LONG_KEY, MIXED, looks_secret
from kb.nouns.shop.sign_offs import (
    SignedOff,
    SignOff,
    SignOffDraft,
    SignOffsOnFile,
    WorkKind,
)
from kb.prep import signed_off as rule
from kb.records.store.rows import save
from kb.records.store.shop import sign_offs as store
from kb.records.tables import SignOffRow, User
from kb.vehicle.families import fold

LONGEST = {"makes": 80, "make": 80, "trained_what": 120, "note": 300}
NO_SECRETS = (
    "No password, PIN or key is kept here. Refused is what names one, a word of "
    f"{MIXED} or more characters with a capital, a small letter and a digit, and one of {LONG_KEY} or more "
    "with letters and digits."
)


@anyone_in_the_shop
def signed_off(desk: Desk, make: str, kinds: Sequence[WorkKind], on: date | None = None) -> SignedOff:
    """Who may do all of these kinds of work on a make on a day, today where none is said."""
    return rule.signed_off(on_file(desk), make, kinds, on or desk.today)


def on_file(desk: Desk, before: int | None = None) -> SignOffsOnFile:
    """All sign-offs, and what newcomers did before: before one event, or up to now."""
    return desk.once(("sign-offs", before), lambda: _gathered(desk, before))


@anyone_in_the_shop
def sign_offs_of(desk: Desk, user_id: int) -> tuple[SignOff, ...]:
    """A person's sign-offs that were not taken back, oldest first; a technician may see their own."""
    person = person_of(desk, user_id)
    return tuple(one for one in on_file(desk).of(person.name) if one.ended_on is None)


@lead_or_owner
def sign_off(desk: Desk, user_id: int, draft: SignOffDraft) -> tuple[SignOff, ...]:
    """Sign somebody off from today: each kind on each make, or on every make where none is named.

    A make under two writings is one, as first written. It stands in place of what the person had for that
    make and kind.

    Raises BadInput without a kind, for a training day to come, a last day that has passed, or what looks
    like a secret.
    """
    desk.must_be_signed()
    person = person_of(desk, user_id)
    _refuse_what_cannot_be(desk, person, draft)
    told = columns_of(draft)
    written = {fold(one): one.strip() for one in reversed(draft.makes) if one.strip()}
    makes = tuple(reversed(written.values())) or ("",)
    del told["makes"], told["kinds"]
    rows = [
        SignOffRow(
            shop_id=desk.shop.id,
            user_id=user_id,
            make=make,
            kind=kind.value,
            signed_on=desk.today,
            by=desk.actor.name,
            **told,
        )
        for make in makes
        for kind in dict.fromkeys(draft.kinds)
    ]
    again = {(fold(row.make), row.kind) for row in rows}
    for held in store.running_of(desk.session, user_id):
        if (fold(held.make), held.kind) in again:
            held.ended_on = desk.today
    made = tuple(_view(save(desk.session, row), person.name) for row in rows)
    kinds = [one.value for one in draft.kinds]
    desk.note_down("signed off", "user", user_id, kinds=kinds, makes=list(makes))
    return made


@lead_or_owner
def end_sign_off(desk: Desk, sign_off_id: int) -> SignOff:
    """From today it counts no more; what was done under it stays."""
    desk.must_be_signed()
    row = row_of(desk, SignOffRow, sign_off_id, "There is no such sign-off.")
    row.ended_on = row.ended_on or desk.today
    saved(desk, row, "ended", "sign-off")
    return _view(row, person_of(desk, row.user_id).name)


def person_of(desk: Desk, user_id: int) -> User:
    """The account; a technician reaches only their own."""
    if desk.actor.role == Role.TECH.value and desk.actor.user_id != user_id:
        raise NotAllowed("Everybody sees their own sign-offs; the lead and the owner see all.")
    return row_of(desk, User, user_id, "There is no such account.")


def refuse_texts(texts: dict[str, str]) -> None:
    wrong = {
        name: f"at most {LONGEST[name]} characters"
        for name, said in texts.items()
        if len(said) > LONGEST[name]
    }
    if wrong:
        raise BadInput(f"Too long: {', '.join(f'{a} {b}' for a, b in wrong.items())}.", fields=wrong)
    secret = {name: "looks like a password or key" for name, said in texts.items() if looks_secret(said)}
    if secret:
        raise BadInput(f"This looks like a password or key: take it out. {NO_SECRETS}", fields=secret)


def called(desk: Desk) -> dict[str, str]:
    """What everybody with an account is called, by sign-in name."""
    return {user.name: user.display_name for user, _ in _rows(desk)}


def _rows(desk: Desk) -> list[tuple[User, SignOffRow | None]]:
    return desk.once("people", lambda: store.people_and_sign_offs(desk.session, desk.shop.id))


def _gathered(desk: Desk, before: int | None) -> SignOffsOnFile:
    found = _rows(desk)
    views = tuple(_view(row, user.name) for user, row in found if row is not None)
    people = {user.name: user.display_name for user, _ in found if user.disabled_at is None}
    newcomers = {one.person for one in views if one.newcomer and not one.taken_back and one.person in people}
    done = store.programmed_by(desk.session, desk.shop.id, newcomers, before=before) if newcomers else []
    return SignOffsOnFile(views, people, rule.done_by(done))


def _refuse_what_cannot_be(desk: Desk, person: User, draft: SignOffDraft) -> None:
    if person.disabled_at is not None:
        raise BadInput(f"{person.display_name} can no longer sign in, and is signed off for nothing.")
    wrong: dict[str, str] = {}
    if not draft.kinds:
        wrong["kinds"] = "Choose at least one kind of work."
    if draft.trained_on and draft.trained_on > desk.today:
        wrong["trained_on"] = "The day of the training is still to come."
    if draft.valid_to and draft.valid_to < desk.today:
        wrong["valid_to"] = "Its last day has passed: enter the day up to which it counts, or leave it open."
    if wrong:
        raise BadInput(" ".join(wrong.values()), fields=wrong)
    for make in draft.makes:
        refuse_texts({"makes": make})
    refuse_texts({"trained_what": draft.trained_what, "note": draft.note})


def _view(row: SignOffRow, person: str) -> SignOff:
    return copied(SignOff, row, id=row.id or 0, person=person, kind=WorkKind(row.kind))
