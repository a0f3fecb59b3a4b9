"""Which notes are on the same thing as one that is written, why, and what differs; hand-made cases."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.nouns.notes import Note, NoteCode, NoteDraft
from kb.nouns.vehicles import CalibrationStep, Coverage, CoverageLine
from kb.search.same.alike import Differs, Looked, SameBy, alike, differences, overlap
from kb.search.same.wording import LIKE, said_alike
from kb.vehicle.families import families_on_file
from tests.factories import a_note, an_update

FAMILIES = families_on_file()
STEP = CalibrationStep("PCM", ("NV10A",), "NV10B")


def why(draft: NoteDraft, other: NoteDraft, looked: Looked | None = None) -> list[tuple[SameBy, ...]]:
    return [one.why for one in alike(draft, [Note(7, 1, other)], looked or Looked(), FAMILIES)]


def test_the_number_however_it_is_printed_and_the_new_calibration_make_two_notes_one() -> None:
    assert why(an_update(), an_update(number="nv 24/101")) == [(SameBy.NUMBER, SameBy.CALIBRATIONS)]
    other = an_update(number="NV-1", steps=(replace(STEP, new_id="nv-10b"),))
    assert why(an_update(), other) == [(SameBy.CALIBRATIONS,)]
    assert why(an_update(), an_update(number="NV-1", steps=())) == []
    assert why(a_note(), a_note()) == [], "two notes without a number have none in common"


def test_two_makes_may_print_one_number() -> None:
    assert why(an_update(), an_update(coverage=(CoverageLine("Orsel"),))) == []
    assert why(an_update(), an_update(coverage=())) == [(SameBy.NUMBER, SameBy.CALIBRATIONS)]


def test_words_count_only_where_one_vehicle_may_be_meant() -> None:
    said = Looked(words={7: 0.8})
    assert why(a_note(coverage=(CoverageLine("Tarn", "Vell", ((2014, 2016),)),)), a_note(), said) == [
        (SameBy.WORDS,)
    ]
    later = a_note(coverage=(CoverageLine("Tarn", "Vell", ((2017, 2019),)),))
    assert why(a_note(coverage=(CoverageLine("Tarn", "Vell", ((2014, 2016),)),)), later, said) == []
    assert why(a_note(), a_note(), Looked(defect=(7,))) == [(SameBy.DEFECT,)]


LINE = CoverageLine("Tarn", "Vell", ((2014, 2016), (2018, 2018)))


@pytest.mark.parametrize(
    ("other", "expected"),
    [
        ((), True),
        ((CoverageLine("tarn"),), True),
        ((CoverageLine("TARN", "vell", ((2016, 2020),)),), True),
        ((CoverageLine("Tarn", "Vell", ((2017, 2017),)),), False),
        ((CoverageLine("Tarn", "Skerra"),), False),
        ((CoverageLine("Orsel", "Vell"),), False),
    ],
)
def test_whether_one_vehicle_may_be_meant_by_both(other: Coverage, expected: bool) -> None:
    assert overlap((LINE,), other, FAMILIES) is expected
    assert overlap(other, (LINE,), FAMILIES) is expected


def test_makes_and_models_are_compared_as_coverage_compares_them() -> None:
    """VIN tables say VOLVO TRUCK; recall 23V689 (NHTSA recall communications) is for VOLVO VNL, 2024."""
    recall, truck = (CoverageLine("VOLVO", "VNL"),), (CoverageLine("Volvo Truck", "Volvo VNL"),)
    assert overlap(recall, truck, FAMILIES)
    assert overlap(truck, recall, FAMILIES)
    assert not overlap(recall, (CoverageLine("Volvo Truck", "VHD"),), FAMILIES)
    assert why(an_update(coverage=recall), an_update(coverage=truck)) == [
        (SameBy.NUMBER, SameBy.CALIBRATIONS)
    ]


def test_what_differs_is_said_by_field() -> None:
    mine = an_update(codes=("P0171",))
    theirs = an_update(number="NV 24-101", title="Surges", coverage=(LINE,), steps=())
    assert differences(mine, theirs) == (
        Differs("title", (mine.title,), ("Surges",)),
        Differs("vehicles", ("2017-2021 Norvane Tessel",), ("2014-2016, 2018 Tarn Vell",)),
        Differs("calibration IDs", ("PCM NV10A", "PCM NV10B"), ()),
        Differs("codes", ("P0171",), ()),
    )
    assert differences(mine, replace(mine, codes=(NoteCode("p0171"),))) == ()


FAULT = "A split in the intake hose behind the throttle body may let unmetered air in; idle hunts when cold"


def test_the_same_said_nearly_alike_is_found_among_others() -> None:
    others = {
        1: ["Unmetered air enters by a split intake hose behind the throttle body, idle may hunt when cold"],
        2: ["The glove box lamp stays on because its switch is bent"],
        3: ["The throttle body gasket may leak coolant"],
        **{n: [f"Battery drains overnight by control unit {n} that stays awake"] for n in range(4, 12)},
    }
    assert list(said_alike(FAULT, others)) == [1]


@given(st.lists(st.text("abcdefgh ", max_size=60), max_size=5))
def test_likeness_is_a_share(texts: list[str]) -> None:
    found = said_alike(FAULT, dict(enumerate([text] for text in texts)))
    assert all(LIKE <= like <= 1 for like in found.values())


def test_at_most_five_the_surest_first() -> None:
    others = [Note(n, 1, an_update(steps=() if n % 2 else (STEP,))) for n in range(1, 9)]
    found = alike(an_update(), others, Looked(), FAMILIES)
    assert [one.note.id for one in found] == [2, 4, 6, 8, 1]
