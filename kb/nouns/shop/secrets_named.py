"""What looks like a secret in a text that others read: said by name, or written as passwords and keys are."""

from __future__ import annotations

import re

_NAMED = (
    ("a key code", r"\bkey\s*codes?\b\W{0,3}(?:is\s+)?[a-z]?\d{3,}"),
    ("a PIN", r"\bpin(?:\s*codes?)?\b\W{0,3}(?:is\s+)?\d{4,}"),
    ("a security code", r"\b(?:immobilizer|security|radio)\s*codes?\b\W{0,3}(?:is\s+)?\w*\d{3,}"),
    ("a password", r"\bpass(?:word|code|phrase)\b\s*(?:[:=]|is\b)\s*\S+"),
)
LONG_KEY, MIXED = 16, 8
_A_WORD = re.compile(r"\S+")


def secrets_named(text: str) -> tuple[str, ...]:
    """Each kind of secret that a text names with its value, in words: "a key code"."""
    return tuple(name for name, pattern in _NAMED if re.search(pattern, text, re.IGNORECASE))


def looks_secret(text: str) -> bool:
    """Whether a text names a secret, or holds a word like one.

    Such a word has 8 or more characters with a capital, a small letter and a digit, or 16 or more with a
    letter and a digit.
    """
    return bool(secrets_named(text)) or any(_is_like_a_key(word) for word in _A_WORD.findall(text))


def _is_like_a_key(word: str) -> bool:
    digit, letter = any(map(str.isdigit, word)), any(map(str.isalpha, word))
    mixed = digit and any(map(str.isupper, word)) and any(map(str.islower, word))
    return (len(word) >= MIXED and mixed) or (len(word) >= LONG_KEY and digit and letter)
