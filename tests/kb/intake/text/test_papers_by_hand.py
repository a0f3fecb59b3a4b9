"""What is read of papers against what people read of them: 120 documents of the government's files, and 25
invented bulletins in layouts of many kinds.

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
        "number": (1.0, 0.97),
        "remedy": (0.93, 1.0),
        "title": (0.95, 0.95),
        "make": (1.0, 1.0),
        "condition": (0.78, 1.0),
    },
    "judge": {
        "year": (1.0, 1.0),
        "symptom": (0.84, 0.83),
        "model": (0.95, 0.93),
        "remedy": (0.82, 0.8),
        "condition": (0.62, 0.67),
        "number": (0.94, 0.91),
        "module": (0.93, 0.93),
        "make": (1.0, 1.0),
    },
    "invented": {
        "year": (1.0, 1.0),
        "old_id": (1.0, 1.0),
        "new_id": (1.0, 1.0),
        "precaution": (0.85, 0.97),
        "model": (1.0, 0.96),
        "window": (0.96, 0.9),
        "symptom": (0.83, 0.92),
        "number": (1.0, 0.96),
        "relearn": (1.0, 1.0),
        "make": (1.0, 1.0),
        "published_on": (1.0, 1.0),
        "remedy": (0.91, 0.95),
        "title": (0.86, 0.9),
        "module": (1.0, 1.0),
        "code": (1.0, 1.0),
        "speaks_against": (1.0, 1.0),
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
