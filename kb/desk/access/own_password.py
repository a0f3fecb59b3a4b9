"""A password changed by the person whose it is, by the old one: its wrong tries wait like a sign-in's."""

from __future__ import annotations

from dataclasses import replace

from kb.desk.access import passwords, secrets, trying
from kb.desk.access.accounts import choose_for, end_ways_in, user_with_id
from kb.desk.access.devices import Device
from kb.desk.access.whose import refuse_by_pin
from kb.desk.context import Desk, RunningShop
from kb.errors import BadInput, NotSignedIn
from kb.nouns.people import Actor

_NOT_THE_OLD = "That is not your old password. Whoever forgot it asks the owner for a new one."


def change_own_password(shop: RunningShop, actor: Actor, old: str, new: str, *, device: Device) -> None:
    """Have `new` for a password from now on; every session but the one that asks ends, and every token.

    An account that has none (it comes in by token, or in the demo by a click) needs no old one. Raises
    BadInput for a wrong old one or a new one that will not do, TooMany while wrong tries have to wait.
    """
    with shop.reading(actor) as desk:
        refuse_by_pin(desk, "A new password")
        kept = user_with_id(desk, actor.user_id).password_hash
        if passwords.same(old, new):
            raise BadInput("This is the old password. Take another one.", fields={"password": "another one"})
        chosen = choose_for(desk, actor.user_id, new)

    def change(desk: Desk) -> None:
        user = user_with_id(desk, actor.user_id)
        if user.password_hash != kept:
            raise BadInput("Your password was changed just now by somebody else. Sign in with the new one.")
        user.password_hash, user.password_is_given, user.version = chosen.kept, False, user.version + 1
        end_ways_in(desk, user, but=actor.session_id)
        replace(desk, actor=actor).note_down("changed their own password", "user", actor.user_id)

    if kept is None:
        with shop.writing(actor) as desk:
            change(desk)
        return
    try:
        trying.try_once(
            shop, actor.name, device, lambda: secrets.password_fits(old, kept), change, refusal=_NOT_THE_OLD
        )
    except NotSignedIn as no:
        raise BadInput(no.message, fields={"old_password": "not the old one"}, details=no.details) from None
