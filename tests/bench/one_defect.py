"""Recalls of one defect, by what their own texts name: plainly, apart from the search's own rule."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

from tests.bench.search_corpus import Recall

_NUMBER = re.compile(r"\b(\d\d[VET])[ -]?(\d{3})(?:[ -]?000)?\b")
_CAMPAIGN = re.compile(
    r"(?:recall|campaign)s?(?: (?:number|no\.?|code|id))?[ :#]*\b([A-Z0-9][A-Z0-9-]{2,14})\b", re.I
)
MOST = 4
"""A name that more recalls than this share is no campaign's (a model's, a program's)."""


def one_defect(recalls: Sequence[Recall]) -> Mapping[str, frozenset[str]]:
    """For each recall the numbers of its defect, its own among them: one names the other, or both name one
    campaign of a make of both.
    """
    own = {recall.number: recall for recall in recalls}
    joined: dict[str, set[str]] = {number: {number} for number in own}
    for number, other in (*_named(recalls), *_campaigns(recalls)):
        if other in own and _share_a_make(own[number], own[other]):
            both = joined[number] | joined[other]
            for one in both:
                joined[one] = both
    return {number: frozenset(group) for number, group in joined.items()}


def _named(recalls: Iterable[Recall]) -> Iterable[tuple[str, str]]:
    for recall in recalls:
        for text in recall.texts:
            for start, rest in _NUMBER.findall(text):
                yield recall.number, start + rest


def _campaigns(recalls: Iterable[Recall]) -> Iterable[tuple[str, str]]:
    """Neighbouring pairs of the recalls that name one campaign: a word of letters and digits."""
    named: dict[str, set[str]] = defaultdict(set)
    for recall in recalls:
        for text in recall.texts:
            for word in _CAMPAIGN.findall(text):
                name = word.upper().replace("-", "")
                if re.search("[A-Z]", name) and re.search("[0-9]", name) and not _NUMBER.match(name):
                    named[name].add(recall.number)
    for numbers in named.values():
        if len(numbers) <= MOST:
            ordered = sorted(numbers)
            yield from pairwise(ordered)


def _share_a_make(one: Recall, other: Recall) -> bool:
    makes = {make for make, _ in other.vehicles}
    return any(make in makes for make, _ in one.vehicles)
