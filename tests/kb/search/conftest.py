from __future__ import annotations

import pytest

from kb.nouns.vehicles import CoverageLine
from kb.search.index import SearchIndex
from kb.search.query import IndexEntry
from kb.words.concepts import trade_concepts
from kb.words.lexicon import Lexicon, make_lexicon

STALLS = IndexEntry(
    1,
    "bulletin",
    title="Engine stalls on the highway",
    symptom="The engine may stall without warning at highway speed.",
    body="Loss of motive power. Update the engine control module software.",
    codes=("P0301",),
    modules=("PCM",),
    coverage=(CoverageLine("Brontes", "F-150 X", ((2016, 2017), (2019, 2020))),),
)
NO_CRANK = IndexEntry(
    2,
    "lesson",
    title="No crank after battery swap",
    body="Relearn the immobilizer. The starter relay was fine.",
)
DASH = IndexEntry(
    3,
    "bulletin",
    title="Instrument panel goes blank",
    body="The instrument panel may go blank for two seconds. No trouble codes are stored.",
    coverage=(CoverageLine("Brontes", "Comet", ()), CoverageLine("Arges", "", (), engine="2.4")),
)
PAST = IndexEntry(
    7,
    "concern",
    symptom="dies comin off hwy at stop lite, starts rite back",
    coverage=(CoverageLine("Brontes", "Comet", ((2018, 2018),)),),
)
ENTRIES = (STALLS, NO_CRANK, DASH, PAST)


@pytest.fixture(scope="session")
def lexicon() -> Lexicon:
    return make_lexicon(trade_concepts())


@pytest.fixture
def index(lexicon: Lexicon) -> SearchIndex:
    return SearchIndex.build(ENTRIES, lexicon)
