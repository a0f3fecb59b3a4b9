"""Who needs signing off: cases by hand, and the rule beside a slow twin."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.shop.sign_offs import Access, AccessKind, SignOff, SignOffsOnFile, WorkKind
from kb.nouns.shop.who_needs_signing import OpenWork, WorkSeen
from kb.prep.who_needs_signing import who_needs_signing

DAY = date(2026, 10, 31)
UPDATE, AIRBAG = WorkKind.UPDATE, WorkKind.AIRBAG
PEOPLE = {"ana": "Ana", "bo": "Bo"}
CREDENTIAL = AccessKind.SECURITY_CREDENTIAL


def signed(person: str, make: str, kind: WorkKind = UPDATE, **said: object) -> SignOff:
    return SignOff(1, person, make, kind, DAY - timedelta(100), **said)  # type: ignore[arg-type]


def ago(days: int) -> date:
    return DAY - timedelta(days)


def test_people_makes_and_last_days_are_told_in_sentences() -> None:
    on_file = SignOffsOnFile(
        (
            signed("ana", "Tarn", valid_to=DAY + timedelta(12)),
            signed("ana", "Norvane", valid_to=DAY + timedelta(31)),
            signed("bo", "", AIRBAG, valid_to=ago(3)),
            signed("bo", "Norvane", UPDATE, valid_to=ago(3)),
            signed("bo", "", UPDATE, valid_to=None),
        ),
        PEOPLE,
        {},
    )
    found = who_needs_signing(
        on_file,
        [
            Access(1, "ana", CREDENTIAL, "Tarn", ends_on=DAY),
            Access(2, "bo", CREDENTIAL, "Tarn", ends_on=DAY),
            Access(3, "bo", CREDENTIAL, "TARN", ends_on=DAY + timedelta(200)),
        ],
        [
            WorkSeen("ana", "Tarn", (UPDATE, AIRBAG), ago(40)),
            WorkSeen("ana", "tarn", (UPDATE, AIRBAG), ago(3)),
            WorkSeen("bo", "Kestrel", (UPDATE,), concern_id=7, ref="RO 2087-A"),
            WorkSeen("ana", "Kestrel", (UPDATE,), concern_id=7, ref="RO 2087-A"),
            WorkSeen("gone", "Tarn", (AIRBAG,), ago(1)),
        ],
        [OpenWork("Tarn", (UPDATE,), 2), OpenWork("Tarn", (AIRBAG,), 1), OpenWork("", (AIRBAG,), 4)],
        DAY,
    )
    assert [one.sentence for one in found.people] == [
        "Ana: updates of Kestrel (prepares RO 2087-A)",
        "Ana: airbags of tarn (programmed Oct 28, 2026)",
    ]
    assert [one.sentence for one in found.makes] == [
        "Nobody is signed off for airbags of Tarn; 1 concern is open"
    ]
    assert [one.sentence for one in found.ends] == [
        "Bo: sign-off for airbags, every make ended Oct 28, 2026",
        "Ana: security credential of Tarn ends Oct 31, 2026",
        "Ana: sign-off for updates of Tarn ends Nov 12, 2026",
    ]
    assert found.recorded
    assert not found.nobody


def test_a_shop_that_signs_nobody_off_lacks_no_make_and_is_told_who_did_what() -> None:
    seen, waiting = [WorkSeen("ana", "Tarn", (UPDATE,), ago(1))], [OpenWork("Tarn", (UPDATE,), 2)]
    found = who_needs_signing(SignOffsOnFile((), PEOPLE, {}), [], seen, waiting, DAY)
    assert (found.recorded, found.makes, len(found.people)) == (False, (), 1)


_DAYS = st.integers(-100, 40).map(lambda n: DAY + timedelta(n))
_KINDS = st.sampled_from([UPDATE, AIRBAG])
_MAKES = st.sampled_from(["Tarn", "TARN", "Norvane"])
_WHO = st.sampled_from(["ana", "bo", "gone"])


@given(
    rows=st.lists(
        st.builds(
            SignOff,
            id=st.just(1),
            person=_WHO,
            make=_MAKES | st.just(""),
            kind=_KINDS,
            signed_on=st.just(DAY),
            valid_to=st.none() | _DAYS,
        ),
        max_size=5,
    ),
    seen=st.lists(st.builds(WorkSeen, _WHO, _MAKES, st.tuples(_KINDS), _DAYS), max_size=5),
)
def test_it_tells_what_a_slow_twin_tells(rows: list[SignOff], seen: list[WorkSeen]) -> None:
    found = who_needs_signing(SignOffsOnFile(tuple(rows), PEOPLE, {}), [], seen, [], DAY)

    def may(person: str, make: str, kind: WorkKind, until: date) -> bool:
        return any(
            one.person == person
            and one.make.upper() in ("", make.upper())
            and one.kind == kind
            and (one.valid_to is None or one.valid_to >= until)
            for one in rows
        )

    lacking = {
        (work.person, work.make.upper(), kind)
        for work in seen
        for kind in work.kinds
        if work.person != "gone" and not may(work.person, work.make, kind, DAY)
    }
    told = [(one.person, one.work.make.upper(), kind) for one in found.people for kind in one.work.kinds]
    assert set(told) == lacking
    assert len(told) == len(lacking)
    assert len(found.people) == len({(person, make) for person, make, _ in lacking})
    assert [one.on for one in found.ends] == sorted(one.on for one in found.ends)
    for one in found.ends:
        assert one.person != "gone"
        assert ago(90) <= one.on <= DAY + timedelta(30)
        assert one.is_over == (one.on < DAY)
        kinds = [row.kind for row in rows if row.valid_to == one.on and row.make == one.make]
        assert any(not may(one.person, one.make, kind, one.on + timedelta(1)) for kind in kinds)
