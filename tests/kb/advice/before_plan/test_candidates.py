"""Which few are offered: those with IDs before those without, and at most one bare recall among others."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from kb.advice.before_plan.candidates import MOST, Offered, best_few
from kb.nouns.notes import Grade

GRADES = list(Grade)
ONE = st.builds(
    Offered,
    st.just(0),
    st.sampled_from(GRADES),
    st.booleans(),
    st.just(()),
    st.booleans(),
    st.booleans(),
)


@st.composite
def offered(draw: st.DrawFn) -> list[Offered]:
    some = draw(st.lists(ONE, max_size=8))
    return [
        Offered(at, one.grade, one.all_codes_named, (), one.ids_known, one.is_recall)
        for at, one in enumerate(some)
    ]


@given(offered())
def test_never_two_recalls_without_ids_unless_nothing_else_is_left(some: list[Offered]) -> None:
    few = best_few(some)
    better = [one for one in some if one.grade is not Grade.WEAK] or some
    bare = [one for one in few if one.is_bare_recall]
    assert len(bare) <= 1 or all(one.is_bare_recall for one in better)
    assert len(few) <= MOST
    assert bool(few) == bool(some)


@given(offered())
def test_none_without_ids_stands_before_one_with_ids_that_matches_as_well(some: list[Offered]) -> None:
    few = best_few(some)
    for at, one in enumerate(few):
        later = [other for other in few[at + 1 :] if other.ids_known]
        assert one.ids_known or all(GRADES.index(o.grade) > GRADES.index(one.grade) for o in later)
    with_ids = [one.note_id for one in few if one.ids_known]
    assert with_ids == sorted(with_ids)
