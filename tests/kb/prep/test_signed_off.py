"""Who may do which work: cases by hand, and the rule beside a slow twin that looks at every day and row."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.shop.sign_offs import SignOff, SignOffsOnFile, WorkKind
from kb.prep.signed_off import Standing, signed_off, standing
from kb.vehicle.kinds_of_work import kinds_of_work

DAY = date(2026, 10, 31)
UPDATE, REPLACED, SECURITY = WorkKind.UPDATE, WorkKind.REPLACED_MODULE, WorkKind.SECURITY
PEOPLE = {"ana": "Ana", "bo": "Bo"}


def a_sign_off(person: str = "ana", make: str = "Tarn", kind: WorkKind = UPDATE, **said: object) -> SignOff:
    return SignOff(1, person, make, kind, **{"signed_on": DAY - timedelta(30)} | said)  # type: ignore[arg-type]


def on_file(*sign_offs: SignOff, done: dict[tuple[str, WorkKind], int] | None = None) -> SignOffsOnFile:
    return SignOffsOnFile(sign_offs, PEOPLE, done or {})


def test_a_shop_in_which_nobody_is_signed_off_is_held_back_by_nothing() -> None:
    empty = on_file()
    assert standing(empty, "ana", "Tarn", [UPDATE], DAY) == Standing()
    assert not signed_off(empty, "Tarn", [UPDATE], DAY).is_held_back
    slip = on_file(a_sign_off(ended_on=DAY - timedelta(30)))  # entered and taken back on one day
    assert standing(slip, "bo", "Tarn", [UPDATE], DAY) == Standing()


@pytest.mark.parametrize(
    ("one", "missing"),
    [
        (a_sign_off(), ()),
        (a_sign_off(make="TARN "), ()),
        (a_sign_off(make=""), ()),
        (a_sign_off(make="Norvane"), (UPDATE,)),
        (a_sign_off(kind=REPLACED), (UPDATE,)),
        (a_sign_off("bo"), (UPDATE,)),
        (a_sign_off(valid_to=DAY), ()),
        (a_sign_off(valid_to=DAY - timedelta(1)), (UPDATE,)),
        (a_sign_off(signed_on=DAY), ()),
        (a_sign_off(signed_on=DAY + timedelta(1)), (UPDATE,)),
        (a_sign_off(ended_on=DAY), (UPDATE,)),
        (a_sign_off(ended_on=DAY + timedelta(1)), ()),
    ],
)
def test_a_sign_off_is_of_a_person_a_make_a_kind_and_its_days(
    one: SignOff, missing: tuple[WorkKind, ...]
) -> None:
    assert standing(on_file(one), "ana", "tarn", [UPDATE], DAY) == Standing(missing)


def test_the_first_three_of_a_newcomer_are_co_signed_by_kind_of_work() -> None:
    new = a_sign_off(newcomer=True), a_sign_off(kind=REPLACED, newcomer=True), a_sign_off("bo")
    after_two = on_file(*new, done={("ana", UPDATE): 2, ("bo", UPDATE): 9})
    assert standing(after_two, "ana", "Tarn", [UPDATE], DAY) == Standing(new=(UPDATE,))
    who = signed_off(after_two, "Tarn", [UPDATE], DAY)
    assert (who.alone, who.cosigned, who.is_held_back) == (("bo",), ("ana",), False)
    after_three = on_file(*new, done={("ana", UPDATE): 3})
    assert standing(after_three, "ana", "Tarn", [UPDATE], DAY).alone
    assert standing(after_three, "ana", "Tarn", [REPLACED, UPDATE], DAY) == Standing(new=(REPLACED,))
    assert signed_off(on_file(*new[:2]), "Tarn", [UPDATE], DAY).is_held_back, "nobody could co-sign"


def test_whoever_has_no_account_any_more_is_signed_off_for_nothing() -> None:
    gone = SignOffsOnFile((a_sign_off("cy"),), PEOPLE, {})
    assert standing(gone, "cy", "Tarn", [UPDATE], DAY) == Standing((UPDATE,))
    assert signed_off(gone, "Tarn", [UPDATE], DAY).is_held_back


@pytest.mark.parametrize(
    ("module", "replaced", "kinds"),
    [
        ("PCM", False, {"update"}),
        ("", False, {"update"}),
        ("", True, {"replaced_module"}),
        ("PCM", True, {"replaced_module", "security"}),
        ("TCM", True, {"replaced_module"}),
        ("BCM", True, {"replaced_module", "security"}),
        ("SRS", False, {"update", "airbag"}),
        ("BMS", False, {"update", "high_voltage"}),
        ("Immobilizer", False, {"update", "security"}),
        ("central gateway", False, {"update", "security"}),
        ("door module", False, {"update"}),
    ],
)
def test_a_module_says_which_kinds_of_work_it_is(module: str, replaced: bool, kinds: set[str]) -> None:
    assert set(kinds_of_work(module, replaced=replaced)) == kinds


_DAYS = st.integers(-3, 3).map(lambda n: DAY + timedelta(n))
_KINDS = st.sampled_from([UPDATE, REPLACED, SECURITY])
_SIGN_OFFS = st.builds(
    SignOff,
    id=st.just(1),
    person=st.sampled_from(["ana", "bo", "cy"]),
    make=st.sampled_from(["Tarn", "TARN", "Norvane", ""]),
    kind=_KINDS,
    signed_on=_DAYS,
    valid_to=st.none() | _DAYS,
    newcomer=st.booleans(),
    ended_on=st.none() | _DAYS,
)


def twin(rows: list[SignOff], done: dict[tuple[str, WorkKind], int], kinds: set[WorkKind]) -> dict[str, str]:
    """Walks through the days of every sign-off and writes down what each person may do on DAY."""
    if not [one for one in rows if one.ended_on is None or one.ended_on > one.signed_on]:
        return dict.fromkeys(PEOPLE, "alone")
    may: dict[tuple[str, WorkKind], set[bool]] = {}
    for one in rows:
        day = one.signed_on
        while day < DAY + timedelta(10):
            if day == one.ended_on or (one.valid_to is not None and day > one.valid_to):
                break
            if day == DAY and one.make.lower() in ("tarn", ""):
                may.setdefault((one.person, one.kind), set()).add(one.newcomer)
            day += timedelta(1)
    told = {}
    for person in PEOPLE:
        said = [may.get((person, kind), set()) for kind in kinds]
        new = [
            kind for kind in kinds if may.get((person, kind)) == {True} and done.get((person, kind), 0) <= 2
        ]
        told[person] = "no" if not all(said) else "co-signed" if new else "alone"
    return told


@given(
    rows=st.lists(
        _SIGN_OFFS.filter(lambda one: one.ended_on is None or one.ended_on >= one.signed_on), max_size=6
    ),
    done=st.dictionaries(st.tuples(st.sampled_from(["ana", "bo"]), _KINDS), st.integers(0, 4)),
    kinds=st.sets(_KINDS, min_size=1, max_size=2),
)
def test_the_rule_says_what_a_slow_twin_says(
    rows: list[SignOff], done: dict[tuple[str, WorkKind], int], kinds: set[WorkKind]
) -> None:
    held = SignOffsOnFile(tuple(rows), PEOPLE, done)
    found = {person: standing(held, person, "tarn", sorted(kinds), DAY) for person in PEOPLE}
    says = {p: "no" if one.missing else "co-signed" if one.new else "alone" for p, one in found.items()}
    assert says == twin(rows, done, kinds)
    who = signed_off(held, "Tarn", sorted(kinds), DAY)
    assert who.is_held_back == ("alone" not in says.values())
    assert set(who.alone) <= {person for person, said in says.items() if said == "alone"}
