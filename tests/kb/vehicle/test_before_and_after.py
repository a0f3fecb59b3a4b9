"""IDs and CVNs before and after, worked by hand: what is proven, and what is not."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.vehicles import CalibrationId
from kb.vehicle.before_and_after import compare


def ids(shown: str) -> tuple[CalibrationId, ...]:
    """ "A1:C1 B1" as IDs with their CVNs."""
    return tuple(CalibrationId(*one.split(":")) for one in shown.split())


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ("A1:C1", "A2:C2", "ID changed, CVN changed"),
        ("A1:C1", "A2:C1", "ID changed, CVN unchanged: read again after a key cycle"),
        ("A1:C1", "A1:C9", "same ID, other CVN: look closer"),
        ("A1:C1", "a-1:0xC1", "ID unchanged, CVN unchanged: read again after a key cycle"),
        ("A1:C1", "A2", "ID changed, CVN after not read: not proven"),
        ("A1", "A2:C2", "ID changed, CVN before not read: not proven"),
        ("A1", "A1:C1", "ID unchanged, CVN before not read: not proven"),
        ("A1:C1", "", "ID after not read: not proven"),
        ("", "A2:C2", "ID before not read: not proven"),
        # a module with two processors, of which one is reflashed
        ("A1:C1 B1:D1", "A2:C2 B1:D1", "ID changed, CVN changed"),
        ("A1:C1 B1:D1", "B1:D1 A2:C2", "ID changed, CVN changed"),
        ("A1:C1 B1:D1", "A2:C1 B1:D1", "ID changed, CVN unchanged: read again after a key cycle"),
        ("A1:C1 B1:D1", "A2:C2 B1:D9", "same ID, other CVN: look closer"),
        ("A1:C1 B1", "A2:C2 B1", "ID changed, CVN changed"),
    ],
)
def test_what_ids_and_cvns_come_to(before: str, after: str, words: str) -> None:
    found = compare("PCM", ids(before), ids(after))
    assert found.words == words
    assert found.proven == (words == "ID changed, CVN changed")


_SHOWN = st.lists(
    st.builds(CalibrationId, st.sampled_from("ABC"), st.sampled_from(["", "1", "2"])),
    max_size=3,
    unique_by=lambda one: one.calibration_id,
)


@given(_SHOWN, _SHOWN)
def test_nothing_is_proven_by_what_was_not_read_and_order_says_nothing(
    before: list[CalibrationId], after: list[CalibrationId]
) -> None:
    found = compare("PCM", before, after)
    assert compare("PCM", before[::-1], after[::-1]).words == found.words
    new = [one for one in after if one.calibration_id not in {old.calibration_id for old in before}]
    if found.proven:
        assert before
        assert new
        assert all(one.cvn for one in new)
        assert not {one.cvn for one in new} & {
            old.cvn for old in before if old.calibration_id not in {one.calibration_id for one in after}
        }
