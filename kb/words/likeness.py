"""How alike two words are to the eye and to the fingers on a keyboard."""

from __future__ import annotations

from rapidfuzz.distance import OSA, JaroWinkler

_KEYBOARD = ("qwertyuiop", "asdfghjkl", "zxcvbnm")
HALF_A_LETTER = 0.5


def _near_keys() -> frozenset[tuple[str, str]]:
    pairs: set[tuple[str, str]] = set()
    for row, letters in enumerate(_KEYBOARD):
        for at, letter in enumerate(letters):
            around = [letters[at + 1 : at + 2]]
            if row + 1 < len(_KEYBOARD):
                below = _KEYBOARD[row + 1]
                around += [below[at - 1 : at] if at else "", below[at : at + 1]]
            pairs.update((letter, other) for other in around if other)
            pairs.update((other, letter) for other in around if other)
    return frozenset(pairs)


NEAR_KEYS = _near_keys()


def likeness(typed: str, word: str) -> float:
    """Between 0 and 1: the mean of 1 − d/longer (d = optimal string alignment distance) and Jaro-Winkler.

    The usual slips cost half a letter: a neighbouring key, two letters exchanged, one doubled or not.
    OSA: Damerau, CACM 7 (1964) 171-176, restricted form; Jaro-Winkler: Winkler, ASA Survey Research Methods
    (1990) 354-359.
    """
    distance: float = OSA.distance(typed, word)
    if len(typed) == len(word):
        slips = [(a, b) for a, b in zip(typed, word, strict=True) if a != b]
        if len(slips) == distance:
            distance -= HALF_A_LETTER * sum(pair in NEAR_KEYS for pair in slips)
    if distance == 1 and (sorted(typed) == sorted(word) or _once(typed) == _once(word)):
        distance = HALF_A_LETTER
    return 0.5 * (1 - distance / max(len(typed), len(word))) + 0.5 * float(
        JaroWinkler.similarity(typed, word)
    )


def _once(word: str) -> str:
    """Letters that are doubled once."""
    return "".join(letter for at, letter in enumerate(word) if word[at - 1 : at] != letter)
