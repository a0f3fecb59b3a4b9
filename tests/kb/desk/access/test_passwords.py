"""Which passwords are taken, and what a changed one ends. Sections are those of NIST SP 800-63B-4."""

from __future__ import annotations

import unicodedata

import pytest
from cryptography.hazmat.primitives.kdf.argon2 import Argon2id
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.desk.access import accounts, own_password, secrets, sessions, sign_ins, tokens
from kb.desk.access.devices import STRANGER
from kb.desk.access.passwords import LONGEST, chosen, made_up
from kb.desk.access.sessions import Visitor
from kb.desk.context import CONSOLE, RunningShop
from kb.errors import BadInput, NotAllowed, NotSignedIn, TooMany
from kb.nouns.people import Actor, CameBy, Door
from tests.conftest import StandingClock

OLD, NEW = "correct horse 7", "spring under bench four"


@pytest.fixture
def tom(sqlite_shop: RunningShop) -> Actor:
    with sqlite_shop.writing(CONSOLE) as desk:
        return Actor(accounts.add_user(desk, "tom", "Tom Reed", "tech", chosen(OLD)).id, "tom", "tech")


# 3.1.1.2: common, expected (the service's name, the user's, the shop's), and derived from these; too short.
@pytest.mark.parametrize(
    "typed",
    [
        "", "eleven char", "a" * (LONGEST + 1),
        "password1234", "Password1234!", "PasswordPassword", "123456789012", "qwertyuiop12", "aaaaaaaaaaaa",
        "letmeinletmein", "abcdefghijkl", "Beforeflash1", "tom.reed.2026", "MapleTorque1", "mapletorque2026",
    ],
)  # fmt: skip
def test_what_is_short_endless_common_or_a_name_is_refused_with_what_to_do(typed: str) -> None:
    with pytest.raises(BadInput, match=r"characters (or more|at most)|easy to guess.* Take four words") as no:
        chosen(typed, "Maple Torque", "tom", "tom.reed", "Tom Reed")
    assert list(no.value.fields) == ["password"]


@settings(max_examples=25)
@given(st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=12, max_size=64))
def test_every_character_is_taken_spaces_too_and_whole(typed: str) -> None:
    """3.1.1.2: no rule of composition, at least 64 characters, nothing cut off, NFC before hashing."""
    try:
        kept = chosen(typed).kept
    except BadInput:
        return  # too short in one writing, or a common one
    assert secrets.password_fits(typed, kept)
    assert secrets.password_fits(unicodedata.normalize("NFD", typed), kept)
    assert not secrets.password_fits(typed[:-1], kept)
    assert not secrets.password_fits(typed + " ", kept)


def test_made_up_ones_are_taken_and_never_the_same() -> None:
    made = {made_up() for _ in range(20)}
    assert len(made) == 20
    for one in made:
        chosen(one, "Maple Torque", "tom")
        assert len(one) >= 15  # what 3.1.1.2 asks of the only factor


def test_a_password_from_before_these_rules_keeps_working(sqlite_shop: RunningShop, tom: Actor) -> None:
    """Short, in another writing, and hashed with other figures: it is hashed anew with today's figures."""
    by = Argon2id(salt=b"salt of old", length=16, iterations=1, lanes=1, memory_cost=16)
    weak = by.derive_phc_encoded("u\u0308ber 12".encode())
    with sqlite_shop.writing(CONSOLE) as desk:
        accounts.user_with_id(desk, tom.user_id).password_hash = weak
    for typed in ("u\u0308ber 12", "\u00fcber 12"):
        assert sign_ins.sign_in(sqlite_shop, "tom", typed).actor == tom
        with sqlite_shop.reading() as desk:
            kept = accounts.user_with_id(desk, tom.user_id).password_hash
        assert kept is not None
        assert secrets.is_hashed_as_today(kept)


def test_hashes_are_those_of_the_reference_implementation_and_a_broken_one_fits_nothing() -> None:
    """The vector of phc-winner-argon2, src/test.c, version 0x13, Argon2id: t=2, m=2^16, p=1."""
    head = "$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$"
    digest = "CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc"
    assert secrets.password_fits("password", head + digest)
    assert not secrets.password_fits("passwore", head + digest)
    for broken in ("nonsense", head, head.replace("m=65536", "m=1") + digest, head + digest[:-1]):
        assert not secrets.password_fits("password", broken)


def visitor_by(shop: RunningShop, cookie: str) -> Visitor:
    with shop.reading() as desk:
        visitor = sessions.who_holds_cookie(desk, cookie)
    assert visitor is not None
    return visitor


def test_ones_own_is_changed_by_the_old_one_whose_wrong_tries_wait(
    sqlite_shop: RunningShop, tom: Actor, clock: StandingClock
) -> None:
    here, elsewhere = (sign_ins.sign_in(sqlite_shop, "tom", OLD).cookie for _ in range(2))
    with sqlite_shop.writing(CONSOLE) as desk:
        token = tokens.new_token(desk, "tom")

    def change(old: str, new: str) -> None:
        actor = visitor_by(sqlite_shop, here).actor
        own_password.change_own_password(sqlite_shop, actor, old, new, device=STRANGER)

    for _ in range(3):
        with pytest.raises(BadInput, match="not your old password"):
            change("a guess", NEW)
    with pytest.raises(TooMany, match="Wait 1 minute"):
        change(OLD, NEW)
    clock.move(minutes=1)
    with pytest.raises(BadInput, match="easy to guess"):  # costs no try
        change(OLD, "tomtomtomtom")
    change(OLD, NEW)
    with sqlite_shop.reading() as desk:
        lines = desk.session.connection().exec_driver_sql("SELECT who, action FROM trail").all()
    assert ("tom", "changed their own password") in [tuple(line) for line in lines]
    assert visitor_by(sqlite_shop, here).actor == tom
    with sqlite_shop.reading() as desk:
        assert sessions.who_holds_cookie(desk, elsewhere) is None
        assert tokens.who_holds_token(desk, token) is None
    assert sign_ins.sign_in(sqlite_shop, "tom", NEW).actor == tom
    with pytest.raises(NotSignedIn):
        sign_ins.sign_in(sqlite_shop, "tom", OLD)
    by_pin = Actor(tom.user_id, "tom", "tech", CameBy(Door.PIN, 1, clock.now))
    with pytest.raises(NotAllowed, match="Sign in with your password first"):
        own_password.change_own_password(sqlite_shop, by_pin, NEW, OLD, device=STRANGER)


def test_what_the_owner_gave_is_changed_at_the_first_sign_in_and_lets_one_in_at_once(
    sqlite_shop: RunningShop, tom: Actor
) -> None:
    with sqlite_shop.writing(CONSOLE) as desk:
        owner = accounts.add_user(desk, "ann", "Ann", "owner", chosen(OLD))
    for _ in range(3):
        with pytest.raises(NotSignedIn):
            sign_ins.sign_in(sqlite_shop, "tom", "forgotten")
    with sqlite_shop.writing(Actor(owner.id, "ann", "owner")) as desk:
        accounts.set_password(desk, tom.user_id, accounts.choose_for(desk, tom.user_id, NEW))
    cookie = sign_ins.sign_in(sqlite_shop, "tom", NEW).cookie
    visitor = visitor_by(sqlite_shop, cookie)
    assert visitor.password_is_given
    own_password.change_own_password(sqlite_shop, visitor.actor, NEW, OLD, device=STRANGER)
    assert not visitor_by(sqlite_shop, cookie).password_is_given
