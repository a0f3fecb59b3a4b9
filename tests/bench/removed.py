"""What grades mean: of complaints whose note is on file, and of the same with all of its defect taken out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass

from kb.nouns.notes import Grade
from kb.search.index import SearchIndex
from kb.search.query import IndexEntry, Query, SearchAnswer
from tests.bench.search_corpus import Asked

ALL_KNOWN = 3


@dataclass(frozen=True)
class Trial:
    """The answers to one complaint: with nothing known of the vehicle, with all, and with its defect gone."""

    right: frozenset[int]
    bare: SearchAnswer
    known: SearchAnswer
    removed: SearchAnswer


def report_grades(
    index: SearchIndex,
    entries: Sequence[IndexEntry],
    asked: Mapping[str, Sequence[Asked]],
    alike: Mapping[str, frozenset[int]],
) -> None:
    """One line for each wording: shares of its complaints, in percent.

    "bare" is how often a first result is strong without a vehicle; "strong" with make, model and year,
    "right" how many of those are right; "hidden" how many right first results stand under "nothing on file
    is about this"; then of the removed how often one is strong, and how often nothing is about it.
    """
    print(f"{'grades':38}{'bare':>8}{'strong':>8}{'right':>8}{'hidden':>8}   removed: strong  nothing")
    for wording, some in asked.items():
        words = "named" if "named" in some[0].words else wording
        kinds = {number: entries[number].kind for one in some for number in alike[one.recall]}
        trials = [_tried(index, kinds, one, words, alike[one.recall]) for one in some]
        shares = (
            _share(_is_strong(t.bare) for t in trials),
            _share(_is_strong(t.known) for t in trials),
            _share(_is_right(t) for t in trials if _is_strong(t.known)),
            _share(says_nothing(t.known) for t in trials if _is_right(t)),
            _share(_is_strong(t.removed) for t in trials),
            _share(says_nothing(t.removed) for t in trials),
        )
        print(f"{'Beforeflash':22}{wording:16}", *(f"{100 * share:7.1f}" for share in shares), flush=True)


def says_nothing(answer: SearchAnswer) -> bool:
    """Whether the answer says that nothing on file is about what was typed, whatever stands beneath."""
    return bool(answer.message) or not answer.results


def _tried(
    index: SearchIndex, kinds: Mapping[int, str], asked: Asked, words: str, right: frozenset[int]
) -> Trial:
    """`kinds` are those of the right notes: an update is taken out as one."""
    without = copy(index)
    for number in right:
        without.remove(number, kinds[number])
    text, vehicle = asked.words[words], asked.vehicle(ALL_KNOWN)
    bare = asked.words.get("bare", text)
    return Trial(
        right,
        index.search(Query(bare)),
        index.search(Query(text, vehicle=vehicle)),
        without.search(Query(text, vehicle=vehicle)),
    )


def _is_strong(answer: SearchAnswer) -> bool:
    return bool(answer.results) and answer.results[0].grade is Grade.STRONG


def _is_right(trial: Trial) -> bool:
    """Whether the first result with all known of the vehicle is one of the right notes."""
    return bool(trial.known.results) and trial.known.results[0].id in trial.right


def _share(those: Iterable[bool]) -> float:
    held = list(those)
    return sum(held) / len(held) if held else 0.0
