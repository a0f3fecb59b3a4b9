"""What is read of papers against what people read of them: 180 documents of the government's files, and 77
invented bulletins in layouts of many kinds. 15 of these (second_choose) are by another hand; once read by a
reader that had not seen them, they were chosen by, and no figure of theirs tells what to expect.

The 60 documents of the set called judge were marked by somebody who had not seen the reader; they were
counted unread at first and are chosen by since. Of 60 further ones by a fourth hand the first half is chosen
by, and the second (fourth_judge) is only counted. Floors stand just below what is reached.
"""

from __future__ import annotations

import pytest

from tests.kb.intake.text.reading import counted

FLOORS = {
    "choose": {
        "year": (1.0, 0.98),
        "symptom": (0.93, 0.88),
        "model": (1.0, 0.97),
        "number": (1.0, 0.94),
        "remedy": (0.93, 1.0),
        "title": (1.0, 0.95),
        "make": (1.0, 1.0),
        "condition": (0.91, 0.95),
    },
    "judge": {
        "year": (1.0, 1.0),
        "symptom": (0.95, 0.95),
        "model": (0.95, 0.93),
        "remedy": (0.84, 0.82),
        "condition": (0.84, 0.75),
        "number": (1.0, 0.94),
        "module": (1.0, 1.0),
        "make": (1.0, 1.0),
    },
    "invented": {
        "year": (1.0, 1.0),
        "old_id": (1.0, 1.0),
        "precaution": (0.82, 0.94),
        "model": (1.0, 0.96),
        "new_id": (1.0, 1.0),
        "symptom": (0.84, 0.96),
        "number": (1.0, 1.0),
        "relearn": (1.0, 1.0),
        "make": (1.0, 1.0),
        "published_on": (1.0, 1.0),
        "remedy": (0.91, 0.95),
        "title": (0.91, 0.95),
        "module": (1.0, 1.0),
        "condition": (0.79, 1.0),
        "window": (1.0, 0.94),
        "code": (1.0, 1.0),
        "speaks_against": (1.0, 1.0),
    },
    "bulletins_choose": {
        "year": (1.0, 1.0),
        "precaution": (0.92, 1.0),
        "old_id": (1.0, 1.0),
        "symptom": (0.95, 1.0),
        "condition": (0.95, 0.96),
        "model": (0.96, 0.96),
        "new_id": (1.0, 1.0),
        "number": (0.9, 0.82),
        "module": (1.0, 0.95),
        "window": (1.0, 1.0),
        "relearn": (0.9, 1.0),
        "make": (1.0, 1.0),
        "remedy": (0.95, 0.95),
        "published_on": (1.0, 0.95),
        "title": (1.0, 1.0),
        "code": (1.0, 1.0),
        "speaks_against": (0.88, 1.0),
    },
    "bulletins_second_choose": {
        "precaution": (0.7, 0.81),
        "speaks_against": (0.97, 0.94),
        "year": (1.0, 1.0),
        "symptom": (0.64, 0.73),
        "old_id": (1.0, 0.83),
        "model": (1.0, 1.0),
        "new_id": (1.0, 0.95),
        "code": (1.0, 0.86),
        "condition": (0.61, 0.4),
        "window": (0.88, 0.66),
        "relearn": (0.66, 0.88),
        "module": (0.92, 0.81),
        "number": (0.82, 0.93),
        "title": (0.86, 0.86),
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
        "precaution": (0.8, 0.87),
        "new_id": (1.0, 0.94),
        "model": (0.88, 0.88),
        "window": (1.0, 1.0),
        "condition": (1.0, 0.87),
        "module": (1.0, 0.93),
        "number": (1.0, 0.93),
        "published_on": (1.0, 0.93),
        "make": (0.92, 0.86),
        "symptom": (0.82, 0.93),
        "relearn": (0.87, 0.93),
        "remedy": (1.0, 1.0),
    },
    "fourth_choose": {
        "year": (1.0, 1.0),
        "symptom": (1.0, 1.0),
        "model": (0.95, 1.0),
        "condition": (1.0, 1.0),
        "remedy": (1.0, 1.0),
        "module": (1.0, 1.0),
        "number": (0.9, 1.0),
        "make": (1.0, 1.0),
    },
    "fourth_judge": {
        "year": (1.0, 1.0),
        "symptom": (1.0, 0.93),
        "model": (1.0, 0.97),
        "condition": (0.88, 0.81),
        "remedy": (0.91, 1.0),
        "number": (0.9, 0.95),
        "make": (1.0, 1.0),
        "title": (1.0, 0.7),
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
