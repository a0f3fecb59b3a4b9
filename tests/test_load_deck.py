"""The notes that the bench of load makes: valid, each of a defect of its own, and no two alike."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from kb.words.one_defect import defect_keys
from tests.bench.load.made_shop import Deck

RECALLS = Path(__file__).parent / "kb" / "intake" / "fixtures" / "recall_communications.csv"


def test_made_notes_differ_and_name_no_campaign_of_another() -> None:
    made = list(Deck(RECALLS).entries(200))
    keys = [defect_keys(f"B-{one.id}", one.documents, one.coverage) for one in made]
    named = Counter(key for some in keys for key in some if " of " in key)  # a campaign of a make
    assert len(named) >= len(made)
    assert max(named.values()) == 1
    assert len({one.documents for one in made}) == len(made)
    assert all(one.title and one.coverage for one in made)
