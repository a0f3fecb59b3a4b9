"""Whether a new complaint is the old one again, on wordings of our own as customers and technicians write."""

from __future__ import annotations

import pytest

from kb.search.index import SearchIndex
from kb.search.query import IndexEntry
from kb.search.same.same_thing import Complaint
from kb.words.concepts import trade_concepts
from kb.words.lexicon import make_lexicon

SAME = (
    ("bucks n jerks lite throtle goin uphill only wen warm", "still bucking at light throttle"),
    ("dies comin off hwy at stop lite, starts rite back, no cel", "stalls again at stop light"),
    ("long crank in the am fine rest of day 3-4x a wk", "hard start in the morning"),
    ("trans slams 2-1 comin to a stop", "still clunks into first when stopping, transmission"),
    ("chuggels at 45, rumbel strip feelin", "shudder at 45 mph again"),
    ("batt dead evry 3 days, new batt last mo", "dead battery again"),
    ("c/s dash goes blank 2 sec then bak, no codes", "cluster went blank on the way home"),
    ("auto stop start quit since bat replaced", "auto stop start not working again"),
    ("hard start after gettin gas, evap code coms bak", "hard to start after fill up"),
)
OTHER = (
    ("bucks n jerks lite throtle goin uphill only wen warm", "oil leak at front cover"),
    ("bucks and jerks uphill when warm", "noise from the rear when warm uphill"),
    ("dies comin off hwy at stop lite", "brakes squeal"),
    ("trans slams 2-1", "A/C blows warm"),
    ("shudder at 45", "brake pedal shudder when stopping from highway"),
    ("engine stalls at idle", "wiper stalls"),
    ("dash goes blank", "window does not go up"),
    ("long crank in the am", "oil change and inspection"),
    ("bucks uphill", "does not buck any more, oil change"),
)


@pytest.fixture(scope="module")
def index() -> SearchIndex:
    """Of one note; the lexicon is what came with the program."""
    note = IndexEntry(id=1, kind="update", title="Engine bucks, stalls, shudders", symptom="hard start")
    return SearchIndex.build([note], make_lexicon(trade_concepts()))


@pytest.mark.parametrize(("before", "now"), SAME)
def test_the_same_concern_in_other_words_is_recognised(index: SearchIndex, before: str, now: str) -> None:
    assert index.same_thing(Complaint(now), Complaint(before))


@pytest.mark.parametrize(("before", "now"), OTHER)
def test_another_complaint_of_the_same_vehicle_is_not(index: SearchIndex, before: str, now: str) -> None:
    assert index.same_thing(Complaint(now), Complaint(before)) == ()


def test_a_code_of_both_says_the_same_unless_many_faults_set_it(index: SearchIndex) -> None:
    before, now = "check engine light on", "lamp is back"
    told = index.same_thing(Complaint(now, ("P0456",)), Complaint(before, ("P0456",)))
    assert told == ("P0456",)
    assert index.same_thing(Complaint(now, ("P0171",)), Complaint(before, ("P0171",))) == ()
