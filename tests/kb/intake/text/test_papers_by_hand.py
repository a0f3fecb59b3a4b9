"""What is read of papers against what people read of them: 120 documents of the government's files, and 77
invented bulletins in layouts of many kinds. 15 of these (second_choose) are by another hand; once read by a
reader that had not seen them, they were chosen by, and no figure of theirs tells what to expect.

The 60 documents to judge by were marked by somebody who had not seen the reader and are only counted. Floors
stand just below what is reached.
"""

from __future__ import annotations

import pytest

from tests.kb.intake.text.reading import counted

FLOORS = {
    "choose": {
        "year": (1.0, 0.98),
        "symptom": (0.91, 0.88),
        "model": (1.0, 0.97),
        "number": (1.0, 0.96),
        "remedy": (0.93, 1.0),
        "title": (1.0, 0.95),
        "make": (1.0, 1.0),
        "condition": (0.91, 1.0),
    },
    "judge": {
        "year": (1.0, 1.0),
        "symptom": (0.84, 0.82),
        "model": (0.94, 0.93),
        "remedy": (0.81, 0.79),
        "condition": (0.73, 0.64),
        "number": (0.93, 0.91),
        "module": (0.89, 0.92),
        "make": (1.0, 1.0),
    },
    "invented": {
        "year": (1.0, 1.0),
        "old_id": (1.0, 1.0),
        "precaution": (0.84, 0.93),
        "model": (1.0, 0.96),
        "new_id": (1.0, 1.0),
        "symptom": (0.83, 0.95),
        "number": (1.0, 1.0),
        "relearn": (1.0, 1.0),
        "make": (1.0, 1.0),
        "published_on": (1.0, 1.0),
        "remedy": (0.91, 0.95),
        "title": (0.9, 0.94),
        "module": (1.0, 1.0),
        "condition": (0.78, 1.0),
        "window": (1.0, 0.93),
        "code": (1.0, 1.0),
        "speaks_against": (1.0, 1.0),
    },
    "bulletins_choose": {
        "year": (1.0, 1.0),
        "precaution": (0.92, 1.0),
        "old_id": (1.0, 1.0),
        "symptom": (0.95, 1.0),
        "condition": (1.0, 1.0),
        "model": (0.95, 0.95),
        "new_id": (1.0, 1.0),
        "number": (0.89, 0.82),
        "module": (1.0, 0.95),
        "window": (1.0, 1.0),
        "relearn": (0.9, 1.0),
        "make": (1.0, 1.0),
        "remedy": (0.94, 0.94),
        "published_on": (1.0, 0.94),
        "title": (1.0, 1.0),
        "code": (1.0, 1.0),
        "speaks_against": (0.88, 1.0),
    },
    "bulletins_second_choose": {
        "precaution": (0.72, 0.81),
        "speaks_against": (0.97, 0.94),
        "year": (1.0, 0.91),
        "symptom": (0.62, 0.7),
        "old_id": (1.0, 0.83),
        "model": (1.0, 1.0),
        "new_id": (1.0, 0.95),
        "code": (1.0, 0.86),
        "condition": (0.61, 0.4),
        "window": (0.88, 0.66),
        "relearn": (0.66, 0.88),
        "module": (0.92, 0.75),
        "number": (0.82, 0.93),
        "title": (0.93, 0.93),
        "published_on": (1.0, 1.0),
        "make": (1.0, 1.0),
        "remedy": (0.73, 0.73),
        "built_to": (1.0, 0.83),
        "engine": (0.85, 0.9),
        "built_from": (1.0, 0.9),
        "replaces": (1.0, 1.0),
        "exact_entry": (1.0, 1.0),
    },
    "bulletins_judge": {
        "year": (1.0, 0.94),
        "old_id": (1.0, 0.87),
        "precaution": (0.79, 0.87),
        "new_id": (1.0, 0.94),
        "model": (0.88, 0.88),
        "window": (1.0, 1.0),
        "condition": (1.0, 0.87),
        "module": (1.0, 0.93),
        "number": (1.0, 0.92),
        "published_on": (1.0, 0.92),
        "make": (0.92, 0.86),
        "symptom": (0.75, 0.86),
        "relearn": (0.87, 0.92),
        "remedy": (1.0, 1.0),
    },
}


@pytest.mark.parametrize(
    ("papers", "asked", "precise", "found"),
    [(papers, asked, *floors) for papers, fields in FLOORS.items() for asked, floors in fields.items()],
)
def test_a_field_is_read_as_people_read_it(papers: str, asked: str, precise: float, found: float) -> None:
    told = counted(papers)
    assert told.precision(asked) >= precise
    assert told.recall(asked) >= found
