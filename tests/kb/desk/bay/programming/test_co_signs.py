"""A newcomer's programming is signed by somebody else before it begins and before the vehicle leaves."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from kb.desk.access import accounts
from kb.desk.bay.concern import concerns
from kb.desk.bay.programming import prep, programming, release, starting
from kb.desk.bay.programming.prep_views import PrepItem
from kb.desk.context import RunningShop
from kb.desk.shop import own_access
from kb.errors import BadInput
from kb.nouns.bay.release import ReleaseItem
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult
from kb.nouns.shop.sign_offs import AccessDraft, AccessKind, WorkKind
from tests.conftest import NOON
from tests.factories import MAKE, a_concern, actor_of, signed

KEYS = ("signed-off-", "co-sign-", "own-access-")


@pytest.fixture
def opened(shop: RunningShop) -> int:
    with shop.writing(actor_of(shop, "tech")) as desk:
        return concerns.open_concern(desk, a_concern()).id


def at_prep(shop: RunningShop, person: str, concern: int) -> dict[str, PrepItem]:
    with shop.reading(actor_of(shop, person)) as desk:
        items = prep.prep_list(desk, concern).items
    return {one.line.key: one for one in items if one.line.key.startswith(KEYS)}


def at_release(shop: RunningShop, concern: int) -> dict[str, ReleaseItem]:
    with shop.reading(actor_of(shop, "tech")) as desk:
        items = release.release_list(desk, concern).items
    return {one.key: one for one in items if one.is_co_signed}


def program(shop: RunningShop, concern: int) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        module = ModuleResult("PCM", ReflashResult.COMPLETED, concern_ids=(concern,))
        programming.record_event(desk, ProgrammingEventDraft((module,), desk.today), done_twice=True)


def test_nobody_signed_off_puts_no_line_on_either_list(shop: RunningShop, opened: int) -> None:
    assert at_prep(shop, "tech", opened) == {}
    program(shop, opened)
    assert at_release(shop, opened) == {}


def test_who_is_not_signed_off_is_passed_by_name_and_reason_alone(shop: RunningShop, opened: int) -> None:
    signed(shop, "lead", WorkKind.UPDATE)
    assert at_prep(shop, "lead", opened) == {}
    [(key, item)] = at_prep(shop, "tech", opened).items()
    assert item.line.text == f"Technician is not signed off for updates of {MAKE}."
    tech = actor_of(shop, "tech")
    with shop.writing(tech) as desk:
        with pytest.raises(BadInput, match="Pass it only with a reason"):
            prep.tick(desk, opened, key)
        with pytest.raises(BadInput, match="not signed off for updates"):
            starting.start(desk, opened, confirmed=True)
        prep.pass_over(desk, opened, key, "the lead stands beside")
    assert at_prep(shop, "tech", opened)[key].settled


def test_a_newcomer_is_co_signed_at_prep_and_release_by_somebody_else(shop: RunningShop, opened: int) -> None:
    signed(shop, "tech", WorkKind.UPDATE, newcomer=True)
    signed(shop, "lead", WorkKind.UPDATE)
    tech, lead = actor_of(shop, "tech"), actor_of(shop, "lead")
    assert at_prep(shop, "lead", opened) == {}, "nobody has prepared anything yet that could be co-signed"
    with shop.writing(tech) as desk:
        prep.sign_place(desk, opened, "computer")
        with pytest.raises(BadInput, match="Lead technician signs this under their own name"):
            prep.tick(desk, opened, "co-sign-1-tech")
    [item] = at_prep(shop, "lead", opened).values()
    assert item.line.signers == ("lead",)
    assert item.needs_an_answer
    assert not item.settled
    with shop.writing(lead) as desk:
        prep.tick(desk, opened, "co-sign-1-tech")
    assert at_prep(shop, "tech", opened)["co-sign-1-tech"].by == "lead"
    program(shop, opened)
    with shop.writing(tech) as desk, pytest.raises(BadInput, match="under their own name"):
        release.settle_release(desk, opened, "release-co-sign-tech", "done")
    with shop.writing(lead) as desk:
        release.settle_release(desk, opened, "release-co-sign-tech", "done")
    assert at_release(shop, opened)["release-co-sign-tech"].by == "lead"
    an_hour_later = NOON + timedelta(hours=1)
    shop.clock = lambda: an_hour_later
    program(shop, opened)
    assert not at_release(shop, opened)["release-co-sign-tech"].by, "programming again opens it again"
    prepared = at_prep(shop, "tech", opened)
    assert [prepared[key].settled for key in ("co-sign-1-tech", "co-sign-3-tech")] == [True, False]


def test_the_third_sitting_is_the_last_one_that_is_co_signed(shop: RunningShop, opened: int) -> None:
    signed(shop, "tech", WorkKind.UPDATE, newcomer=True)
    for sitting in range(1, 5):
        assert list(at_prep(shop, "tech", opened)) == [f"co-sign-{sitting}-tech"] * (sitting <= 3)
        program(shop, opened)
        assert ("release-co-sign-tech" in at_release(shop, opened)) == (sitting <= 3)
    a_day_later = NOON + timedelta(days=1)
    shop.clock = lambda: a_day_later
    signed(shop, "tech", WorkKind.UPDATE)
    assert at_release(shop, opened) == {}, "signed off anew today, it was still the fourth"


def test_without_anybody_to_co_sign_it_goes_on_with_a_reason(shop: RunningShop, opened: int) -> None:
    signed(shop, "tech", WorkKind.UPDATE, newcomer=True)
    signed(shop, "lead", WorkKind.UPDATE)
    lead = actor_of(shop, "lead").user_id
    with shop.writing(actor_of(shop, "owner")) as desk:
        accounts.disable_user(desk, lead)
    [item] = at_prep(shop, "tech", opened).values()
    assert item.line.blocks
    program(shop, opened)
    with shop.writing(actor_of(shop, "tech")) as desk:
        with pytest.raises(BadInput, match="Nobody here is signed off to co-sign"):
            release.settle_release(desk, opened, "release-co-sign-tech", "done")
        with pytest.raises(BadInput, match="Still open"):
            release.release_vehicle(desk, opened)
        release.release_vehicle(desk, opened, "the lead looked at it by phone", customer_told=True)


def test_access_of_ones_own_that_ended_is_renewed_not_borrowed(shop: RunningShop, opened: int) -> None:
    tech, yesterday = actor_of(shop, "tech"), NOON.date() - timedelta(1)
    own = AccessDraft(AccessKind.GATEWAY_REGISTRATION, MAKE.upper(), yesterday)
    with shop.writing(actor_of(shop, "lead")) as desk:
        for draft in (own, replace(own, kind=AccessKind.SECURITY_CREDENTIAL), replace(own, make="Tarn")):
            own_access.add_access(desk, tech.user_id, draft)
    assert at_prep(shop, "lead", opened) == {}
    [(key, item)] = at_prep(shop, "tech", opened).items()
    assert "gateway registration of NORVANE ended Oct 30, 2026" in item.line.text
    with shop.writing(tech) as desk:
        prep.pass_over(desk, opened, key, "the manufacturer says that none is needed")
    with shop.writing(actor_of(shop, "lead")) as desk:
        own_access.add_access(desk, tech.user_id, replace(own, ends_on=NOON.date()))
    [(kept, item)] = at_prep(shop, "tech", opened).items()
    assert (kept, item.line.blocks, item.passed_over != "") == (key, False, True), "papers still tell it"
