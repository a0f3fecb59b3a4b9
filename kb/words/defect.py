"""Which part of a document says what is wrong, and which says what is done about it.

Recall letters and bulletins tell the defect and its consequence first; from the first sentence that speaks
of the remedy, of dealers or of letters on, what they name (a battery to disconnect) is no symptom.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from functools import partial
from itertools import starmap

from kb.words.normalise import in_small_letters


def _pattern(first: str, then: str, rest: str) -> str:
    return f"(?:{first})" + (rf"\s+(?:{then})" if then else "") + rest


_PHRASES = (
    ("dealer|dealers", "will|are|should|must", ""),
    ("owner|owners", "will|are|should", ""),
    ("retailer|retailers|customer|customers|technician|technicians", "will", ""),
    ("description", "of", r"\s+the\s+(?:remedy|repair)"),
    ("remedy|repair|countermeasure", "", ""),
    ("service", "procedure", ""),
    ("corrective", "action", ""),
    ("free", "of", r"\s+charge"),
    ("no", "cost|charge", ""),
    ("be|been", "notified|mailed", ""),
    ("will", "", r"\s+(?:be\s+)?(?:inspect|replac|updat|reprogram|repair|install)\w*"),
    ("what", "will|to", r"\s+do"),
    ("follow", "the", ""),
    ("please", "", r"\s+re-?(?:program|flash)"),
    ("software", "update", r"\s+(?:is|to|will)"),
)
"""What speaks of the remedy: a word, the one behind it, and how it goes on."""
_ORDER = r"(?:^|(?<=[.!?:;]\s))re-?(?:program|flash)"
_ORDER_BEGINS = ("re", "reprogram", "reflash")
_SPEAKS_OF_IT = rf"\b(?:{'|'.join([*starmap(_pattern, _PHRASES), _ORDER])})\b"
_REMEDY = re.compile(_SPEAKS_OF_IT)
_BEFORE_SENTENCE = re.compile(r"(?<=[.!?:;])\s+|\n\s*")
_FAR = 160
"""So many letters at most a sentence says before it speaks of the remedy."""
_DONE = re.compile(
    rf"""{_SPEAKS_OF_IT} | \bwill\b | \bto\s+(?:inspect|update|re-?\w+|install|correct|address)\b |
    \b(?:may\s+need|needs?\s+to\s+be|must\s+be|how\s+to|would\s+still)\b |
    \b(?:bulletin|TSB|document|procedure|instructions?|inspection|replacement|
    (?:alignment|camera|radar)\s+calibration)\b
    """,
    re.IGNORECASE | re.VERBOSE,
)


def defect_and_rest(text: str, begins: Collection[str] | None = None) -> tuple[str, str]:
    """The head of a document up to its first sentence on the remedy, and the rest; either may be empty.

    `begins`, where they are known, are the words with which it may begin to speak of it (`pairs_of_remedy`).
    """
    for place in _remedy_told(in_small_letters(text), begins):
        sentence = _sentence_before(text, place)
        if sentence is not None:
            return text[:sentence], text[sentence:]
    return text, ""


def _remedy_told(small: str, begins: Collection[str] | None) -> Iterator[int]:
    """Where a text speaks of the remedy. A pattern tries every letter; words are found far sooner."""
    if begins is None:
        yield from (found.start() for found in _REMEDY.finditer(small))
        return
    yield from filter(partial(_REMEDY.match, small), sorted(set(_places(small, begins))))


def _places(small: str, words: Iterable[str]) -> Iterator[int]:
    for word in words:
        place = small.find(word)
        while place >= 0:
            yield place
            place = small.find(word, place + 1)


def pairs_of_remedy() -> Iterator[tuple[Mapping[str, str], tuple[str, ...]]]:
    """Words as they are folded, with how each is written; one of them stands right before one of some others
    (or before any, where there are none) wherever a text speaks of the remedy.
    """
    for first, then, rest in _PHRASES:
        words = {word: word for word in first.split("|")}
        if not (then or rest):
            words |= {f"{word}s": word for word in words}  # a "remedy's" is folded so
        yield words, tuple(filter(None, then.split("|")))
    yield dict.fromkeys(_ORDER_BEGINS, "re"), ()


def _sentence_before(text: str, place: int) -> int | None:
    """Where what parts the sentence of a place from the one before begins; None if that is too far back."""
    closed = max(text.rfind(sign, 0, place) for sign in ".!?\n")
    nearest = max(closed + 1, place - _FAR)
    if nearest == 0:
        return 0
    among = len(text[: closed + 1].rstrip())
    parted = _BEFORE_SENTENCE.finditer(text, among, place)
    return next((one.start() for one in parted if one.end() >= nearest), None)


def tells_remedy(sentence: str) -> bool:
    """Whether a sentence speaks of what is done about a defect, by whom or by what procedure."""
    return bool(_DONE.search(sentence))
