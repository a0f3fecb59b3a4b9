from __future__ import annotations

from itertools import chain, pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from kb.nouns.vehicles import CoverageLine, Vehicle
from kb.search.index import SearchIndex
from kb.search.query import IndexEntry, Query
from kb.words.concepts import trade_concepts
from kb.words.lexicon import make_lexicon

LEXICON = make_lexicon(trade_concepts())


def a_recall(number: int, keys: frozenset[str], model: str = "Vell") -> IndexEntry:
    """A longer text the higher the number, so that the lower number is found first."""
    body = "The engine may stall. " + "Owners will be told in writing. " * (number + 1)
    coverage = (CoverageLine("Tarn", model),)
    return IndexEntry(number, "bulletin", body=body, coverage=coverage, same_as=keys)


def joined(known_by: list[frozenset[str]]) -> list[int]:
    """For each recall the place of the first of its defect: the slow twin spreads the smallest place along
    shared keys until nothing changes.
    """
    first = list(range(len(known_by)))
    for _ in known_by:
        for at, keys in enumerate(known_by):
            first[at] = min(first[one] for one in range(len(known_by)) if one == at or keys & known_by[one])
    return first


KEYS = st.lists(st.frozensets(st.sampled_from("abcdefgh"), max_size=3), min_size=1, max_size=9)


@settings(max_examples=60, deadline=None)
@given(KEYS, st.sets(st.integers(0, 8), max_size=3), st.booleans())
def test_each_defect_is_one_result_with_the_others_under_it(
    known_by: list[frozenset[str]], removed: set[int], one_by_one: bool
) -> None:
    """The notes left on file, joined by the slow rule of the whole list, however they came into the index."""
    entries = [a_recall(number, keys) for number, keys in enumerate(known_by)]
    index = SearchIndex.build(() if one_by_one else entries, LEXICON)
    for entry in entries if one_by_one else ():
        index.put(entry)
    for number in removed:
        index.remove(number, "bulletin")
    left = [entry for entry in entries if entry.id not in removed]
    first = joined([entry.same_as for entry in left])
    expected = [
        {left[at].id for at in range(len(left)) if first[at] == head} for head in dict.fromkeys(first)
    ]
    results = index.search(Query("engine stalls", limit=20, joins_defects=True)).results
    groups = [{hit.id, *(number for number, _ in hit.also)} for hit in results]
    assert sorted(map(sorted, groups)) == sorted(map(sorted, expected))
    assert sorted(chain.from_iterable(groups)) == [entry.id for entry in left]


def test_a_chain_of_recalls_is_one_defect() -> None:
    chained = [frozenset({f"key {one}", f"key {other}"}) for one, other in pairwise(range(40))]
    index = SearchIndex.build([a_recall(number, keys) for number, keys in enumerate(chained)], LEXICON)
    results = index.search(Query("engine stalls", limit=50, joins_defects=True)).results
    assert [(hit.id, len(hit.also)) for hit in results] == [(0, 38)]


def test_the_one_that_applies_stands_for_all_and_those_of_other_vehicles_are_named_last() -> None:
    key = frozenset({"20V177"})
    entries = [a_recall(0, key, "Oxbow"), a_recall(3, key), a_recall(2, key), a_recall(4, frozenset())]
    index = SearchIndex.build(entries, LEXICON)
    results = index.search(Query("stalls", vehicle=Vehicle("Tarn", "Vell"), joins_defects=True)).results
    assert [(hit.id, [number for number, _ in hit.also]) for hit in results] == [(2, [3, 0]), (4, [])]


def test_nothing_is_joined_unless_asked_for() -> None:
    key = frozenset({"20V177"})
    index = SearchIndex.build([a_recall(0, key), a_recall(1, key)], LEXICON)
    assert [hit.also for hit in index.search(Query("stalls")).results] == [(), ()]
