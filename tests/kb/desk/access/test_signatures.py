"""What is signed by name on a shared device is refused until its person shows who they are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from kb.desk.access import showing_who
from kb.desk.access.devices import STRANGER
from kb.desk.access.showing_who import Shown
from kb.desk.bay.concern import concerns, striking
from kb.desk.bay.programming import co_signs, release
from kb.desk.bay.seen import photos
from kb.desk.context import Desk, RunningShop
from kb.desk.shop import sign_offs
from kb.errors import BadInput, KbError
from kb.nouns.people import Actor, CameBy, Door
from kb.nouns.shop.sign_offs import SignOffDraft, WorkKind
from tests.conftest import NOON
from tests.factories import a_concern, actor_of
from tests.web.access.sharing import PINS, give_pin

SIGNED: dict[str, Callable[[Desk], object]] = {
    "release": lambda desk: release.release_vehicle(desk, 1),
    "co-sign": lambda desk: co_signs.refuse_wrong_signer(desk, ("lead",), co_signed=True),
    "strike": lambda desk: striking.strike_reading(desk, 1, 1),
    "delete a photo": lambda desk: photos.delete_photo(desk, 1),
    "sign off": lambda desk: sign_offs.sign_off(desk, 1, SignOffDraft((WorkKind.UPDATE,))),
    "end a sign-off": lambda desk: sign_offs.end_sign_off(desk, 1),
}


def on_shared_tablet(shop: RunningShop) -> Actor:
    by = CameBy(Door.PASSWORD, 1, NOON, on_shared=1)
    return replace(actor_of(shop, "lead"), came_by=by)


@pytest.mark.parametrize("act", SIGNED.values(), ids=SIGNED)
def test_each_act_that_is_signed_asks_who_signs(
    sqlite_shop: RunningShop, act: Callable[[Desk], object]
) -> None:
    lead = on_shared_tablet(sqlite_shop)
    assert asks(sqlite_shop, lead, act)
    assert not asks(sqlite_shop, lead.who_signed(), act)
    assert not asks(sqlite_shop, actor_of(sqlite_shop, "lead"), act)


def asks(shop: RunningShop, who: Actor, act: Callable[[Desk], object]) -> bool:
    """Whether it is refused for want of a signature; there is nothing to do it to."""
    with shop.writing(who) as desk:
        try:
            act(desk)
        except KbError as refused:
            return "signature" in refused.fields
    return False


def test_nothing_else_asks_and_the_pin_shows_who_signs(sqlite_shop: RunningShop) -> None:
    give_pin(sqlite_shop, "lead")
    lead = on_shared_tablet(sqlite_shop)
    with sqlite_shop.writing(lead) as desk:
        concerns.open_concern(desk, a_concern())
    with pytest.raises(BadInput) as refused:
        showing_who.sign(sqlite_shop, lead, Shown(lead.user_id, "1357", STRANGER))
    assert "signature" in refused.value.fields
    signed = showing_who.sign(sqlite_shop, lead, Shown(lead.user_id, PINS["lead"], STRANGER))
    assert (signed, signed.must_sign) == (lead, False)
