"""Word stems by Porter's rules, so that stall, stalls, stalled and stalling meet.

Source: M. F. Porter, "An algorithm for suffix stripping", Program 14 (1980) 130-137. A small own
implementation: a stem is taken once per distinct word of the corpus, so a compiled stemmer gains nothing.
"""

from __future__ import annotations

from functools import lru_cache

_STEP_2 = (
    ("ational", "ate"), ("ization", "ize"), ("fulness", "ful"), ("ousness", "ous"), ("iveness", "ive"),
    ("tional", "tion"), ("biliti", "ble"), ("entli", "ent"), ("ousli", "ous"), ("ation", "ate"),
    ("alism", "al"), ("aliti", "al"), ("iviti", "ive"), ("enci", "ence"), ("anci", "ance"),
    ("izer", "ize"), ("abli", "able"), ("alli", "al"), ("ator", "ate"), ("eli", "e"),
)  # fmt: skip
_STEP_3 = (
    ("icate", "ic"), ("ative", ""), ("alize", "al"), ("iciti", "ic"), ("ical", "ic"), ("ful", ""),
    ("ness", ""),
)  # fmt: skip
_STEP_4 = (
    "ement", "ance", "ence", "able", "ible", "ment", "ant", "ent", "ion", "ism", "ate", "iti", "ous",
    "ive", "ize", "al", "er", "ic", "ou",
)  # fmt: skip


@lru_cache(maxsize=65_536)
def stem(word: str) -> str:
    """The stem of a lower-case word; words of one or two letters and words with digits stay as they are.

    Against Porter, three letters that end in s keep it: ABS is no plural of AB (an airbag in a technician's
    shorthand), nor a bus of a BU.
    """
    if len(word) <= 2 or not word.isalpha() or not word.isascii():
        return word
    stemmed = _step_1(word)
    stemmed = _replace(stemmed, _STEP_2, 0)
    stemmed = _replace(stemmed, _STEP_3, 0)
    return _step_5(_step_4(stemmed))


def ending_off(word: str) -> str:
    """A word without the endings of plurals and verbs: "operates" and "operation" are two words."""
    return _step_1(word) if word.isalpha() and len(word) > 2 else word


def _measure(part: str) -> int:
    """Porter's m: how many times a vowel run is followed by a consonant run."""
    kinds = "".join("v" if _is_vowel(part, at) else "c" for at in range(len(part)))
    return kinds.count("vc")


def _is_vowel(part: str, at: int) -> bool:
    letter = part[at]
    return letter in "aeiou" or (letter == "y" and at > 0 and not _is_vowel(part, at - 1))


def _has_vowel(part: str) -> bool:
    return any(_is_vowel(part, at) for at in range(len(part)))


def _ends_cvc(part: str) -> bool:
    if len(part) < 3 or part[-1] in "wxy":
        return False
    shape = [_is_vowel(part, at) for at in range(len(part) - 3, len(part))]
    return shape == [False, True, False]


def _step_1(word: str) -> str:
    if word.endswith(("sses", "ies")):
        word = word[:-2]
    elif len(word) > 3 and word.endswith("s") and not word.endswith("ss"):
        word = word[:-1]
    if word.endswith("eed"):
        return word[:-1] if _measure(word[:-3]) > 0 else word
    for suffix in ("ed", "ing"):
        if word.endswith(suffix) and _has_vowel(word[: -len(suffix)]):
            word = _mend(word[: -len(suffix)])
            break
    if word.endswith("y") and _has_vowel(word[:-1]):
        word = word[:-1] + "i"
    return word


def _mend(part: str) -> str:
    """What is left after -ed or -ing, made a word again: conflat -> conflate, hopp -> hop, fil -> file."""
    if part.endswith(("at", "bl", "iz")):
        return part + "e"
    if (
        len(part) > 1
        and part[-1] == part[-2]
        and not _is_vowel(part, len(part) - 1)
        and part[-1] not in "lsz"
    ):
        return part[:-1]
    if _measure(part) == 1 and _ends_cvc(part):
        return part + "e"
    return part


def _replace(word: str, rules: tuple[tuple[str, str], ...], over: int) -> str:
    for suffix, instead in rules:
        if word.endswith(suffix):
            part = word[: -len(suffix)]
            return part + instead if _measure(part) > over else word
    return word


def _step_4(word: str) -> str:
    for suffix in _STEP_4:
        if word.endswith(suffix):
            part = word[: -len(suffix)]
            if _measure(part) > 1 and (suffix != "ion" or part.endswith(("s", "t"))):
                return part
            return word
    return word


def _step_5(word: str) -> str:
    if word.endswith("e"):
        size = _measure(word[:-1])
        if size > 1 or (size == 1 and not _ends_cvc(word[:-1])):
            word = word[:-1]
    if word.endswith("ll") and _measure(word[:-1]) > 1:
        word = word[:-1]
    return word
