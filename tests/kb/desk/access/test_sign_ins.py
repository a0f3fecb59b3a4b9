from __future__ import annotations

import re

import pytest

from kb.desk.access import accounts, sessions, sign_ins, tokens
from kb.desk.access.passwords import chosen
from kb.desk.context import CONSOLE, RunningShop
from kb.desk.shop import out_and_in_again
from kb.errors import BadInput, Conflict, NotAllowed, NotFound, NotSignedIn
from kb.nouns.people import Actor
from tests.factories import actor_of

PASSWORD = "correct horse 7"


@pytest.fixture
def owner(sqlite_shop: RunningShop) -> Actor:
    with sqlite_shop.writing(CONSOLE) as desk:
        code = sign_ins.issue_set_up_code(desk)
    with sqlite_shop.writing() as desk:
        return sign_ins.set_up_first_owner(desk, "Maria", "Maria O.", chosen(PASSWORD), code=code).actor


def test_the_first_owner_is_made_once_and_only_with_the_code_from_the_console(
    sqlite_shop: RunningShop,
) -> None:
    with sqlite_shop.writing() as desk, pytest.raises(NotAllowed, match="set-up code"):
        sign_ins.set_up_first_owner(desk, "eve", "", chosen(PASSWORD), code="")
    with sqlite_shop.writing(CONSOLE) as desk:
        void, code = sign_ins.issue_set_up_code(desk), sign_ins.issue_set_up_code(desk)
    with sqlite_shop.writing() as desk, pytest.raises(NotAllowed, match="set-up code"):
        sign_ins.set_up_first_owner(desk, "eve", "", chosen(PASSWORD), code=void)
    with sqlite_shop.writing() as desk:
        assert sign_ins.first_run_open(desk)
        signed_in = sign_ins.set_up_first_owner(desk, "maria", "", chosen(PASSWORD), code=code.upper())
    assert signed_in.actor.role == "owner"
    with sqlite_shop.writing() as desk, pytest.raises(NotAllowed, match="set up already"):
        sign_ins.set_up_first_owner(desk, "eve", "", chosen(PASSWORD), code=code)


def test_a_token_without_a_password_leaves_the_first_run_open(sqlite_shop: RunningShop) -> None:
    with sqlite_shop.writing(CONSOLE) as desk:
        token = tokens.new_token(desk, "lead")
        assert sign_ins.first_run_open(desk)
        holder = tokens.who_holds_token(desk, token)
        assert holder is not None
        assert holder.actor == Actor(1, "lead", "lead")
        with pytest.raises(NotFound):
            tokens.new_token(desk, "tech")  # the database has a user now


def test_an_unknown_name_and_a_wrong_password_read_the_same(sqlite_shop: RunningShop, owner: Actor) -> None:
    said = []
    for name, password in (("nobody", PASSWORD), (owner.name, "wrong horse 7"), (owner.name, "")):
        with pytest.raises(NotSignedIn) as refused:
            sign_ins.sign_in(sqlite_shop, name, password)
        said.append(str(refused.value))
    assert len(set(said)) == 1


def test_a_disabled_person_is_out_at_once_by_cookie_token_and_password(
    sqlite_shop: RunningShop, owner: Actor
) -> None:
    with sqlite_shop.writing(owner) as desk:
        tom = accounts.add_user(desk, "tom", "Tom", "tech", chosen(PASSWORD))
        token = tokens.new_token(desk, "tom")
    cookie = sign_ins.sign_in(sqlite_shop, "tom", PASSWORD).cookie
    with sqlite_shop.writing(owner) as desk:
        accounts.disable_user(desk, tom.id)
        assert sessions.who_holds_cookie(desk, cookie) is None
        assert tokens.who_holds_token(desk, token) is None
    with pytest.raises(NotSignedIn):
        sign_ins.sign_in(sqlite_shop, "tom", PASSWORD)


def test_a_new_password_ends_the_sessions_opened_with_the_old_one(
    sqlite_shop: RunningShop, owner: Actor
) -> None:
    cookie = sign_ins.sign_in(sqlite_shop, "maria", PASSWORD).cookie
    with sqlite_shop.writing(CONSOLE) as desk:
        accounts.set_password(desk, owner.user_id, chosen("another horse 8"))
        assert sessions.who_holds_cookie(desk, cookie) is None


def test_nobody_sets_the_password_of_somebody_else_except_the_owner(
    sqlite_shop: RunningShop, owner: Actor
) -> None:
    with sqlite_shop.writing(owner) as desk:
        tom = Actor(accounts.add_user(desk, "tom", "Tom", "tech", chosen(PASSWORD)).id, "tom", "tech")
    for whose in (owner.user_id, tom.user_id):
        with sqlite_shop.writing(tom) as desk, pytest.raises(NotAllowed):
            accounts.set_password(desk, whose, chosen("stolen horse 0"))
    with sqlite_shop.writing(owner) as desk, pytest.raises(BadInput, match="by the old one"):
        accounts.set_password(desk, owner.user_id, chosen("stolen horse 0"))


def test_the_last_owner_can_neither_be_disabled_nor_made_a_technician(
    sqlite_shop: RunningShop, owner: Actor
) -> None:
    with sqlite_shop.writing(owner) as desk:
        with pytest.raises(BadInput, match="at least one owner"):
            accounts.disable_user(desk, owner.user_id)
        with pytest.raises(BadInput, match="at least one owner"):
            accounts.change_user(desk, owner.user_id, 1, display_name="M", role="tech")
        ann = accounts.add_user(desk, "ann", "Ann", "owner", chosen(PASSWORD))
        assert accounts.disable_user(desk, owner.user_id).disabled
        with pytest.raises(Conflict) as stale:
            accounts.change_user(desk, ann.id, ann.version + 1, display_name="A", role="owner")
    assert stale.value.details["theirs"]["display_name"] == "Ann"


def test_one_click_sign_in_is_only_for_a_demo_without_passwords(
    sqlite_shop: RunningShop, tmp_path_factory: pytest.TempPathFactory
) -> None:
    actor_of(sqlite_shop, "tech")
    with sqlite_shop.writing() as desk, pytest.raises(NotAllowed):
        sign_ins.sign_in_demo(desk, "tech")
    demo = RunningShop.open(f"sqlite:///{tmp_path_factory.mktemp('demo')}/demo.db", is_demo=True)
    tech = actor_of(demo, "tech")
    with demo.writing() as desk:
        assert sign_ins.sign_in_demo(desk, "tech").actor == tech
        assert not sign_ins.first_run_open(desk)
    with demo.writing(CONSOLE) as desk:
        accounts.set_password(desk, tech.user_id, chosen(PASSWORD))
    with demo.writing() as desk, pytest.raises(NotAllowed):
        sign_ins.sign_in_demo(desk, "tech")
    demo.close()


def test_no_secret_is_kept_as_it_is_nor_leaves_with_an_export(
    real_passwords: None, sqlite_shop: RunningShop, owner: Actor
) -> None:
    signed_in = sign_ins.sign_in(sqlite_shop, "maria", PASSWORD)
    with sqlite_shop.writing(owner) as desk:
        secrets = [PASSWORD, tokens.new_token(desk, "maria"), signed_in.cookie, signed_in.device_cookie]
    with sqlite_shop.reading(owner) as desk:
        exported = "\n".join(str(row) for row in out_and_in_again.export_rows(desk))
        dumped = "\n".join(desk.session.connection().connection.driver_connection.iterdump())
    assert [secret for secret in secrets if secret in dumped] == []
    assert "argon2" not in exported
    # RFC 9106, section 4, second recommended option: Argon2id, t=3, p=4, m=2^16 KiB (from memory).
    assert re.search(r"\$argon2id\$v=19\$m=65536,t=3,p=4\$", dumped)
