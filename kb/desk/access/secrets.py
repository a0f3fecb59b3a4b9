"""Passwords, cookies and tokens: what is made, and what is kept of it (only hashes)."""

from __future__ import annotations

import hashlib
import secrets
import threading
import unicodedata
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from argon2.profiles import RFC_9106_LOW_MEMORY

LONGEST_CHECKED = 1000
"""Characters. No password is as long; an endless one is no work for the server."""
_AT_ONCE = 2

hasher = PasswordHasher.from_parameters(RFC_9106_LOW_MEMORY)
"""Argon2id by RFC 9106, section 4, second recommended option: 3 passes over 64 MiB in 4 lanes (OWASP's least
is 2 passes over 19 MiB in one). Only the tests put a cheap one here; nothing outside can.
"""
_turns = threading.BoundedSemaphore(_AT_ONCE)  # each takes 64 MiB and all processors


def new_secret() -> str:
    """256 bits that nobody guesses, as URL-safe text."""
    return secrets.token_urlsafe(32)


def new_code() -> str:
    """A code that is read off a console and typed once: 60 bits."""
    return letters(3)


def letters(groups: int) -> str:
    """Groups of four letters and digits that cannot be mistaken for each other, 20 bits a group."""
    signs = "abcdefghjkmnpqrstuvwxyz23456789"
    return "-".join("".join(secrets.choice(signs) for _ in range(4)) for _ in range(groups))


def kept(secret: str) -> str:
    """What the database keeps of a random secret. It is random, so one round of SHA-256 is enough."""
    return hashlib.sha256(secret.encode()).hexdigest()


def hash_password(password: str) -> str:
    """The salted hash of a password, whatever it is; `passwords.chosen` says which ones may be used."""
    with _turns:
        return hasher.hash(password)


def password_fits(typed: str, password_hash: str | None) -> bool:
    """Whether the password is the one. Takes the same work when there is no such account.

    One that was set before they were kept in one writing (NFC) fits as it was typed then.
    """
    writings = dict.fromkeys((unicodedata.normalize("NFC", typed), typed))
    return any(_fits(one, password_hash) for one in writings)


def is_hashed_as_today(password_hash: str) -> bool:
    return not hasher.check_needs_rehash(password_hash)


def _fits(password: str, password_hash: str | None) -> bool:
    with _turns:
        try:
            fits = hasher.verify(password_hash or _nobodys_hash(hasher), password[:LONGEST_CHECKED])
        except (VerificationError, InvalidHashError):
            return False
    return fits and password_hash is not None


@cache
def _nobodys_hash(by: PasswordHasher) -> str:
    return by.hash(secrets.token_urlsafe(16))
