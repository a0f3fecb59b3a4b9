"""Sign-offs at the desk: who enters and sees them, what is refused, and how programmings are counted."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from kb.desk.access import accounts
from kb.desk.bay.concern import concerns, facts
from kb.desk.bay.programming import programming
from kb.desk.context import RunningShop
from kb.desk.shop import own_access, sign_offs
from kb.errors import BadInput, NotAllowed
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult
from kb.nouns.shop.secrets_named import looks_secret
from kb.nouns.shop.sign_offs import AccessDraft, AccessKind, SignOffDraft, WorkKind
from tests.factories import MAKE, a_concern, actor_of, signed

UPDATE, REPLACED, SECURITY = WorkKind.UPDATE, WorkKind.REPLACED_MODULE, WorkKind.SECURITY


def programmed(
    shop: RunningShop, modules: tuple[str, ...], result: str = "completed", *, replaced: bool = False
) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        if replaced:
            facts.put_gate(desk, concern, "module_original", "fault", "new")
        done = tuple(ModuleResult(one, ReflashResult(result), concern_ids=(concern,)) for one in modules)
        programming.record_event(desk, ProgrammingEventDraft(done, desk.today), done_twice=True)


def test_a_newcomer_is_alone_after_three_sittings_of_that_kind(shop: RunningShop) -> None:
    signed(shop, "tech", UPDATE, REPLACED, SECURITY, newcomer=True)
    signed(shop, "lead", UPDATE, REPLACED, makes=())
    programmed(shop, ("PCM", "TCM"))  # one sitting, two modules
    programmed(shop, ("PCM",), "nothing_newer")
    programmed(shop, ("TCM",), "stopped")
    programmed(shop, ("TCM",), replaced=True)
    with shop.reading(actor_of(shop, "tech")) as desk:
        assert sign_offs.on_file(desk).done == {("tech", UPDATE): 2, ("tech", REPLACED): 1}
        asked = sign_offs.signed_off(desk, MAKE, [UPDATE])
        assert (asked.alone, asked.cosigned) == (("lead",), ("tech",))
    programmed(shop, ("PCM",))
    with shop.reading(actor_of(shop, "tech")) as desk:
        assert sign_offs.signed_off(desk, MAKE, [UPDATE]).alone == ("lead", "tech")
        assert sign_offs.signed_off(desk, MAKE, [REPLACED]).cosigned == ("tech",)
        assert sign_offs.signed_off(desk, MAKE, [SECURITY]).is_held_back


def test_a_technician_sees_the_own_and_enters_none(shop: RunningShop) -> None:
    signed(shop, "tech", UPDATE)
    tech, lead = actor_of(shop, "tech"), actor_of(shop, "lead")
    with shop.writing(lead) as desk:
        own_access.add_access(
            desk, tech.user_id, AccessDraft(AccessKind.SECURITY_CREDENTIAL, "Tarn", desk.today)
        )
        assert [one.person for one in own_access.list_accesses(desk)] == ["tech"]
    with shop.writing(tech) as desk:
        assert [one.kind for one in sign_offs.sign_offs_of(desk, tech.user_id)] == [UPDATE]
        [mine] = own_access.accesses_of(desk, tech.user_id)
        for refused in (
            lambda: sign_offs.sign_offs_of(desk, lead.user_id),
            lambda: own_access.accesses_of(desk, lead.user_id),
            lambda: sign_offs.sign_off(desk, tech.user_id, SignOffDraft((SECURITY,))),
            lambda: own_access.end_access(desk, mine.id),
        ):
            with pytest.raises(NotAllowed):
                refused()


def test_a_renewed_one_stands_in_place_of_the_old(shop: RunningShop) -> None:
    signed(shop, "tech", UPDATE, SECURITY, valid_to=date(2026, 11, 5))
    signed(shop, "tech", UPDATE, valid_to=date(2027, 11, 5), makes=(MAKE.upper(), "Tarn", "TARN "))
    lead, tech = actor_of(shop, "lead"), actor_of(shop, "tech").user_id
    credential = AccessDraft(AccessKind.SECURITY_CREDENTIAL, MAKE, date(2026, 11, 5))
    with shop.writing(lead) as desk:
        own_access.add_access(desk, tech, credential)
        own_access.add_access(desk, tech, replace(credential, make=MAKE.upper(), ends_on=date(2027, 11, 5)))
        told = [(one.make, one.kind, one.valid_to) for one in sign_offs.sign_offs_of(desk, tech)]
        assert told == [
            (MAKE, SECURITY, date(2026, 11, 5)),
            (MAKE.upper(), UPDATE, date(2027, 11, 5)),
            ("Tarn", UPDATE, date(2027, 11, 5)),
        ]
        assert [one.ends_on for one in own_access.accesses_of(desk, tech)] == [date(2027, 11, 5)]
        assert sign_offs.signed_off(desk, MAKE, [UPDATE]).alone == ("tech",)


def test_what_ended_or_whose_account_is_closed_counts_no_more(shop: RunningShop) -> None:
    signed(shop, "tech", UPDATE)
    signed(shop, "lead", UPDATE)
    tech, lead, owner = (actor_of(shop, name) for name in ("tech", "lead", "owner"))
    with shop.writing(owner) as desk:
        [mine] = sign_offs.sign_offs_of(desk, tech.user_id)
        sign_offs.end_sign_off(desk, mine.id)
        assert sign_offs.signed_off(desk, MAKE, [UPDATE]).alone == ("lead",)
        accounts.disable_user(desk, lead.user_id)
        assert sign_offs.signed_off(desk, MAKE, [UPDATE]).is_held_back
        with pytest.raises(BadInput, match="no longer sign in"):
            sign_offs.sign_off(desk, lead.user_id, SignOffDraft((UPDATE,)))


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"kinds": ()}, "kinds"),
        ({"trained_on": date(2026, 11, 1)}, "trained_on"),
        ({"valid_to": date(2026, 10, 30)}, "valid_to"),
        ({"note": "n" * 301}, "note"),
        ({"makes": ("m" * 81,)}, "makes"),
        ({"note": "portal: Winter2026x"}, "note"),
        ({"trained_what": "PIN 4711"}, "trained_what"),
    ],
)
def test_what_cannot_be_is_refused_with_its_field(
    shop: RunningShop, said: dict[str, object], field: str
) -> None:
    tech = actor_of(shop, "tech").user_id
    with shop.writing(actor_of(shop, "owner")) as desk:
        draft = SignOffDraft(**{"kinds": (UPDATE,)} | said)  # type: ignore[arg-type]
        with pytest.raises(BadInput) as wrong:
            sign_offs.sign_off(desk, tech, draft)
        assert list(wrong.value.fields) == [field]


@pytest.mark.parametrize(
    ("text", "secret"),
    [
        ("class of Oct 12, 2026, course HV-2, certificate TRN-20871", False),
        ("valid through 2027-03-31, renew 30 days before", False),
        ("the password is kept at the manufacturer's own page", True),  # names one: better refused than kept
        ("passcode: 1", True),
        ("Ab3defgh", True),
        ("ab3defgh", False),
        ("0a1b2c3d4e5f6071", True),
    ],
)
def test_the_rule_of_secrets_is_simple(text: str, secret: bool) -> None:
    assert looks_secret(text) is secret


def test_a_sign_off_runs_to_its_last_day(shop: RunningShop) -> None:
    signed(shop, "tech", UPDATE, valid_to=date(2026, 11, 5))
    with shop.reading(actor_of(shop, "tech")) as desk:
        last = desk.today + timedelta(5)
        assert not sign_offs.signed_off(desk, MAKE, [UPDATE], last).is_held_back
        assert sign_offs.signed_off(desk, MAKE, [UPDATE], last + timedelta(1)).is_held_back
