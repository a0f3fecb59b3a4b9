"""Which part of a document says what is wrong, and which says what is done about it.

Recall letters and bulletins tell the defect and its consequence first; from the first sentence that speaks
of the remedy, of dealers or of letters on, what they name (a battery to disconnect) is no symptom.
"""

from __future__ import annotations

import re

_SPEAKS_OF_IT = r"""\b(?:
        dealers?\s+(?:will|are|should|must)|retailers?\s+will|owners?\s+(?:will|are|should)|customers?\s+will|
        (?:description\s+of\s+the\s+)?(?:remedy|repair)\b|service\s+procedure|countermeasure|corrective\s+action|
        free\s+of\s+charge|no\s+c(?:ost|harge)|(?:be|been)\s+(?:notified|mailed)|will\s+(?:be\s+)?(?:inspect|replac|
        updat|reprogram|repair|install)\w*|technicians?\s+will|what\s+(?:will|to)\s+do|follow\s+the|
        please\s+re-?(?:program|flash)|(?:^|(?<=[.!?:;]\s))re-?(?:program|flash)\b|software\s+update\s+(?:is|to|will)
    )\b"""
_REMEDY = re.compile(_SPEAKS_OF_IT, re.VERBOSE)
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
    small = text.lower()
    if len(small) != len(text):  # a few letters of other languages grow
        small = text
    for found in _REMEDY.finditer(small):
        begins = _sentence_before(text, found.start())
        if begins is not None:
            return text[:begins], text[begins:]
    return text, ""


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
