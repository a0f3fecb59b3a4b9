"""A number with commas is the same number wherever it is typed, or the same refusal."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from kb.errors import BadInput
from kb.intake.fields import read_count
from kb.nouns.typed_numbers import without_commas
from kb.prep.limits import read_value
from kb.prep.release import odometer_read

READERS: dict[str, Callable[[str], float | None]] = {
    "measured": lambda typed: read_value(typed, "mi"),
    "odometer": lambda typed: int(odometer_read({"before": typed, "after": typed})["after"]),
    "file": read_count,
    "form": lambda typed: int(without_commas(typed, "odometer")),
}


@pytest.mark.parametrize("reader", READERS.values(), ids=READERS)
@pytest.mark.parametrize(
    ("typed", "means"), [("61,200", 61200), ("61200", 61200), ("1,061,200", 1061200), ("0", 0)]
)
def test_commas_of_thousands_are_none(reader: Callable[[str], float], typed: str, means: int) -> None:
    assert reader(typed) == means


@pytest.mark.parametrize("typed", ["61,20", "6,1200", "61,,200", ",612", "1,2,3"])
def test_any_other_comma_makes_no_mileage(typed: str) -> None:
    for name, reader in READERS.items():
        if name != "measured" or typed.count(",") > 1:  # a meter's "61,20" is 61.20
            with pytest.raises(BadInput):
                reader(typed)
