"""Passwords, cookies and tokens: what is made, and what is kept of it (only hashes)."""

from __future__ import annotations

import hashlib
import secrets
import threading
import unicodedata
from dataclasses import dataclass
from functools import cache

from cryptography.exceptions import InvalidKey
from cryptography.hazmat.primitives.kdf.argon2 import Argon2id

LONGEST_CHECKED = 1000
"""Characters. No password is as long; an endless one is no work for the server."""
_AT_ONCE = 2


@dataclass(frozen=True, slots=True)
class Cost:
    """What one hash by Argon2id takes: passes, KiB of memory, lanes."""

    passes: int
    memory: int
    lanes: int

    def hash(self, password: str) -> str:
        """With a salt of 128 bits, 256 bits in the usual writing (`$argon2id$v=19$m=...`)."""
        salt = secrets.token_bytes(16)
        by = Argon2id(salt=salt, length=32, iterations=self.passes, lanes=self.lanes, memory_cost=self.memory)
        return by.derive_phc_encoded(password.encode())

    def made(self, password_hash: str) -> bool:
        return password_hash.startswith(f"$argon2id$v=19$m={self.memory},t={self.passes},p={self.lanes}$")


cost = Cost(passes=3, memory=65536, lanes=4)
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
        return cost.hash(password)


def password_fits(typed: str, password_hash: str | None) -> bool:
    """Whether the password is the one. Takes the same work when there is no such account.

    One that was set before they were kept in one writing (NFC) fits as it was typed then.
    """
    writings = dict.fromkeys((unicodedata.normalize("NFC", typed), typed))
    return any(_fits(one, password_hash) for one in writings)


def is_hashed_as_today(password_hash: str) -> bool:
    return cost.made(password_hash)


def _fits(password: str, password_hash: str | None) -> bool:
    against = password_hash or _nobodys_hash(cost)
    with _turns:
        try:
            Argon2id.verify_phc_encoded(password[:LONGEST_CHECKED].encode(), against)
        except (InvalidKey, ValueError):  # another password; a hash that is none
            return False
    return password_hash is not None


@cache
def _nobodys_hash(by: Cost) -> str:
    return by.hash(secrets.token_urlsafe(16))
