"""Shouted and headed words in the case of a sentence, with short forms and names as they are."""

from __future__ import annotations

import re

from kb.words.english import english_words

_WORD = re.compile(r"[^\W_][\w'\u2019]*")
_SHORT_FORMS = frozenset(
    """
    ABS AC ACC ACM ADAS AEB ATF AWD BCM BMS BPCM CAN CEL CV CVT DC DCT DEF DPF DTC ECM ECU EGR EPB EPS ESC EV
    EVAP FCA FWD GPS GVWR HCU HECU HV HVAC HVB ICCU ID IDs IPC IVI KOEO LCD LED LH LP MAF MAP MIL OBD OTA PCM
    PCV PHEV PTO PTC RH ROM RV RWD SCR SRS TCM TCU TPMS TSB TV US USA USB VIN VSA VVT
    """.split()  # noqa: SIM905 - a list of words reads better as text
)
_SHOUTED, _HEADED = 0.6, 0.6


def sentence_case(text: str, names: frozenset[str] = frozenset()) -> str:
    """The text with a capital first; `names` (folded makes and models) keep theirs, as do short forms."""
    found = [one[0] for one in _WORD.finditer(text)]
    long = [one for one in found if len(one) > 3]
    if long and sum(one.isupper() for one in long) > _SHOUTED * len(long):
        text = _WORD.sub(lambda one: _quiet(one[0], names), text)
    elif len(long) > 1 and sum(one[0].isupper() for one in long) > _HEADED * len(long):
        text = _WORD.sub(lambda one: _lower(one[0], names), text)
    return text[:1].upper() + text[1:] if _first_word_is_plain(text) else text


def _quiet(word: str, names: frozenset[str]) -> str:
    """A shouted word: a short form stays, a name keeps its capital, the rest are small."""
    if word in _SHORT_FORMS or any(sign.isdigit() for sign in word) or (len(word) == 1 and word != "A"):
        return word
    if word.casefold() in names:
        return word if len(word) < 4 else word.capitalize()
    if len(word) <= 5 and word.isupper() and len(word) > 1 and not _is_english(word):
        return word
    return word.lower()


def _lower(word: str, names: frozenset[str]) -> str:
    """A word of a heading: small where it is English and no name."""
    if (
        word.casefold() in names
        or (len(word) == 1 and word != "A")
        or not (word.istitle() and _is_english(word))
    ):
        return word
    return word.lower()


def _is_english(word: str) -> bool:
    folded = word.lower().replace("\u2019", "'").split("'")[0]
    known = english_words()
    return len(folded) < 3 or known.is_usual(folded) or known.is_rare(folded) or known.is_form_of_one(folded)


def _first_word_is_plain(text: str) -> bool:
    """A capital would spoil "e-Tron" or "xDrive"."""
    return not re.match(r"[a-z]{1,2}-?[A-Z]", text)
