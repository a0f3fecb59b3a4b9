"""What a calibration ID looks like in print, and by which words papers tell the old one from the new one.

Common practice, read off papers of many makers; no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from kb.words.normalise import is_code

ARROW = r"(?:-+>|=+>|\u2192|\u21d2|\u279c|\u27a1|\u25ba|>{1,2})"
OLD = (
    r"(?:current(?:ly\ installed)?|old(?:er)?|original|previous|existing|before|affected|from|superseded"
    r"|present|prior|discontinued|installed|outdated|as\ built)"
)
NEW = (
    r"(?:new(?:er|est)?|updated?|revised|after|replacement|improved|latest|corrected|to|final|target"
    r"|countermeasure|released)"
)
NOUN = (
    r"(?:cal(?:ibration)?s?|CIDs?|CVNs?|software|SW|S/W|ROM|program(?:ming)?|firmware|version|file|level|data\s?sets?"
    r"|(?:ECU|ECM|PCM|TCM|TCU|BCM|ABS|VCM|VCU|HCU|BMS|MCU|EPS|CVT|module)s?\b|controller)"
)
_ID = r"[A-Z0-9](?:[A-Z0-9]|[-._/](?=[A-Z0-9])){3,}"
ID = rf"(?<![\w./-])(?=[A-Z0-9._/-]*\d){_ID}(?![\w/-]|\.\w)"
_NO_ID = re.compile(
    r"(?:19[6-9]|20[0-3])\d(?:[-/](?:(?:19|20)?\d\d))?|\d{1,4}[-/.]\d{1,2}[-/.]\d{2,4}|\d{1,2}[-/]\d{4}|(?!0\d)\d{1,3}(?:\.\d+)?(?:L|V|A|T)|\d+(?:\.\d+)?(?:MM|KM|K|MPH|RPM|MY)"
    r"|\d+\.\d+(?:-\d+\.\d+)?|(?:1-)?\d{3}-\d{3}-\d{4}|\d{1,3}-\d{1,3}|MY\d+(?:-\d+)?|[A-HJ-NPR-Z0-9]{17}"
)
_MEASURED = re.compile(
    r"\s*(?:volts?|V\b|mph|km|rpm|miles|psi|%|°|minutes|seconds|hours|MY\b|model)", re.IGNORECASE
)


def ids_in(text: str) -> Iterator[re.Match[str]]:
    """The words of a text that may be calibration IDs: capitals and figures, no code, day, year, measure."""
    for found in _ID_IN_TEXT.finditer(text):
        if is_id(found[0]) and not _MEASURED.match(text, found.end()):
            yield found


def is_id(word: str) -> bool:
    """Whether a word by itself may be a calibration ID."""
    whole = _ID_IN_TEXT.fullmatch(word)
    return whole is not None and _NO_ID.fullmatch(word) is None and not is_code(word)


_ID_IN_TEXT = re.compile(ID)
