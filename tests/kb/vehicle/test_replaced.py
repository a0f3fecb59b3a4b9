"""What replaces what: within one make, never in a circle, and always shown above what it replaces."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from kb.vehicle.replaced import below_their_replacements, replaced, standing_in

TARN, ORSEL = frozenset({"tarn"}), frozenset({"orsel"})
PAIRS = st.lists(st.tuples(st.integers(1, 6), st.integers(1, 6)), max_size=12)


def test_a_note_is_replaced_within_its_make_or_where_one_names_none() -> None:
    makes = {1: TARN, 2: TARN, 3: ORSEL}
    assert replaced([(2, 1), (3, 1), (4, 3)], makes) == {1: (2,), 3: (4,)}


def test_what_replaces_each_other_in_a_circle_is_not_replaced() -> None:
    known = replaced([(2, 1), (1, 2), (3, 2), (4, 4)], {})
    assert known == {2: (3,)}
    assert replaced([(2, 1), (3, 2)], {}) == {1: (2,), 2: (3,)}


def test_by_steps_the_newest_stands_in_for_the_oldest() -> None:
    assert standing_in(1, replaced([(2, 1), (3, 2)], {})) == (2, 3)


@given(PAIRS)
def test_no_note_stands_in_for_itself_however_pairs_are_said(pairs: list[tuple[int, int]]) -> None:
    known = replaced(pairs, {})
    for one in range(1, 7):
        assert one not in standing_in(one, known)


@given(PAIRS, st.permutations([1, 2, 3, 4, 5, 6, None]))
def test_the_replaced_come_behind_and_all_others_keep_their_order(
    pairs: list[tuple[int, int]], ids: list[int | None]
) -> None:
    known = replaced(pairs, {})
    order = [ids[at] for at in below_their_replacements(ids, known)]
    assert sorted(order, key=str) == sorted(ids, key=str)
    for old in known:
        assert all(order.index(new) < order.index(old) for new in standing_in(old, known))
    assert [one for one in order if one not in known] == [one for one in ids if one not in known]
