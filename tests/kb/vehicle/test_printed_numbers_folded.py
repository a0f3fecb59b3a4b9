"""Printed numbers and IDs are one however they are written; the database looks for parts in the same way."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import literal, select

from kb.desk.context import RunningShop
from kb.nouns.vehicles import fold_id
from kb.records.store.rows import SIGNS_IN_NUMBERS, folded

WRITTEN = st.text("abcXYZ059" + SIGNS_IN_NUMBERS, min_size=1).filter(lambda one: any(map(str.isalpha, one)))


@pytest.mark.parametrize(
    "written", ["Vell-22", "VELL 22", "Vell\u201322", "vell\u00a022", " V.e_l/l22 ", "\uff36ELL\u201122"]
)
def test_a_number_is_one_however_it_is_printed(written: str) -> None:
    assert fold_id(written) == "VELL22"


@pytest.mark.parametrize(
    ("one", "other"),
    [("Vell-22", "Vell-23"), ("0447B", "0447D"), ("26T-001", "26T-010"), ("1.12", "11.2"), ("7.1", "71")],
)
def test_what_differs_in_a_letter_or_figure_stays_apart(one: str, other: str) -> None:
    assert fold_id(one) != fold_id(other)


def test_signs_alone_stay_as_they_are() -> None:
    assert (fold_id(" - "), fold_id("  ")) == ("-", "")


@given(st.text())
def test_folding_twice_is_folding_once(text: str) -> None:
    assert fold_id(fold_id(text)) == fold_id(text)


@given(WRITTEN)
def test_it_is_the_letters_and_figures_in_capitals(text: str) -> None:
    assert fold_id(text) == "".join(one.upper() for one in text if one in "abcXYZ059")


@pytest.mark.both_databases
def test_the_database_folds_what_stands_in_its_columns_alike(shop: RunningShop) -> None:
    written = ("Vell-22", "0447 b", "NV_10/A.1", "Vell\u201322", f"A{SIGNS_IN_NUMBERS}1")
    with shop.reading() as desk:
        for one in written:
            assert desk.session.execute(select(folded(literal(one)))).scalar_one() == fold_id(one)
