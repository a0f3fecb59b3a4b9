"""Which passwords the shop takes, by NIST SP 800-63B-4 (August 2025), and how they are kept and checked.

The one difference: where a password is all that lets somebody in, its 3.1.1.2 asks for 15 characters. The
shop asks for 12, and makes ones of 16 letters: it sits in a network of its own, and the waits (`waits.py`)
leave a guesser some 24 tries a day.
"""

from __future__ import annotations

import secrets
import threading
import unicodedata
from dataclasses import dataclass

from kb.desk.access.secrets import hash_password, letters
from kb.errors import BadInput

SHORTEST = 12
LONGEST = 200
"""3.1.1.2 asks to permit at least 64. Hashing an endless one would keep the server busy."""
GUESSED_SOON = 1_000_000
"""Tries that a guesser needs who begins with what is common: a hundred years of them at 24 a day."""
_LOOKED_AT = 64
"""Characters: more of them are more work and no better guess."""
_PRODUCT = "beforeflash"
_guessing = threading.Lock()  # the library keeps the names of the moment where every thread reads them


@dataclass(frozen=True, slots=True)
class Chosen:
    """A password that may be used: what is kept of it, and no more."""

    kept: str


def chosen(typed: str, *names: str) -> Chosen:
    """A password taken as typed, to be kept. Takes a tenth of a second: call it outside of a transaction.

    `names` are those of the shop and the person. Raises BadInput that says why not and what to do.
    """
    password = normal(typed)
    if len(password) < SHORTEST:  # code points are counted: 3.1.1.2
        _refuse(
            f"A password has {SHORTEST} characters or more; this one has {len(password)}. "
            "Four words that nobody says together are easy to keep in mind.",
            f"{SHORTEST} characters or more",
        )
    if len(password) > LONGEST:
        _refuse(f"A password has {LONGEST} characters at most.", f"{LONGEST} characters at most")
    if _is_guessed_soon(password, names):
        _refuse(
            "This password is too easy to guess: it is a common one, a name, a row of keys, or one of these "
            "with a little added. Take four words that nobody says together, or have one made up.",
            "too easy to guess: take another one",
        )
    return Chosen(hash_password(password))


def normal(typed: str) -> str:
    """The same characters in one writing, NFC (3.1.1.2), whatever keyboard they were typed on; nothing is
    left out or cut off, spaces neither.
    """
    return unicodedata.normalize("NFC", typed)


def made_up() -> str:
    """A password for somebody who wants none of their own: 79 bits in letters that cannot be mistaken."""
    return letters(4)


def _is_guessed_soon(password: str, names: tuple[str, ...]) -> bool:
    """3.1.1.2: the whole of it is held against what is common, expected (names of shop and person) or derived
    from these. No rule says which characters it must have.
    """
    from zxcvbn import zxcvbn  # a tenth of a second, which only those who choose a password wait for

    said = [word for name in (*names, _PRODUCT) for word in (name, _letters_of(name), *name.split())]
    telling = [word for word in said if len(word) > 2]
    writings = {one[:_LOOKED_AT] for one in (password, _letters_of(password)) if one}
    with _guessing:
        guesses = [zxcvbn(one, user_inputs=telling)["guesses"] for one in writings]
    return bool(min(guesses) < GUESSED_SOON)


def _letters_of(text: str) -> str:
    return "".join(filter(str.isalnum, text))


def _refuse(message: str, field: str) -> None:
    raise BadInput(message, fields={"password": field})


def same(one: str, other: str) -> bool:
    """Whether two typed passwords are one, told in a time that does not tell where they differ."""
    return secrets.compare_digest(normal(one).encode(), normal(other).encode())
