"""Which part of a document says what is wrong, and which says what is done about it.

Recall letters and bulletins tell the defect and its consequence first; from the first sentence that speaks
of the remedy, of dealers or of letters on, what they name (a battery to disconnect) is no symptom.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
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


def defect_and_rest(text: str) -> tuple[str, str]:
    """The head of a document up to its first sentence on the remedy, and the rest; either may be empty."""
    for found in _REMEDY.finditer(in_small_letters(text)):
        begins = _sentence_before(text, found.start())
        if begins is not None:
            return text[:begins], text[begins:]
    return text, ""


def pairs_of_remedy() -> Iterator[tuple[tuple[str, ...], tuple[str, ...]]]:
    """Folded words of which one stands right before one of some others (or before any, where there are none)
    in every text with a rest.
    """
    for first, then, rest in _PHRASES:
        words = tuple(first.split("|"))
        alone = () if then or rest else tuple(f"{word}s" for word in words)  # a "remedy's" is folded so
        yield (*words, *alone), tuple(filter(None, then.split("|")))
    yield _ORDER_BEGINS, ()


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
