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
_REMEDY = re.compile(
    rf"(?:^|(?<=[.!?:;])\s+|\n\s*)[^.!?\n]{{0,160}}?{_SPEAKS_OF_IT}", re.IGNORECASE | re.VERBOSE
)
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
    found = _REMEDY.search(text)
    return (text, "") if found is None else (text[: found.start()], text[found.start() :])


def tells_remedy(sentence: str) -> bool:
    """Whether a sentence speaks of what is done about a defect, by whom or by what procedure."""
    return bool(_DONE.search(sentence))
