"""Passwords, cookies and tokens: what is made, and what is kept of it (only hashes)."""

from __future__ import annotations

import hashlib
import secrets
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from kb.errors import BadInput

SHORTEST_PASSWORD = 8
LONGEST_PASSWORD = 200  # hashing an endless one would keep the server busy

hasher = PasswordHasher()
"""Argon2id with the library's settings. Only the tests put a cheap one here; nothing outside can."""


def new_secret() -> str:
    """256 bits that nobody guesses, as URL-safe text."""
    return secrets.token_urlsafe(32)


def new_code() -> str:
    """A code that is read off a console and typed once: 60 bits in letters that cannot be mistaken."""
    letters = "abcdefghjkmnpqrstuvwxyz23456789"
    return "-".join("".join(secrets.choice(letters) for _ in range(4)) for _ in range(3))


def kept(secret: str) -> str:
    """What the database keeps of a random secret. It is random, so one round of SHA-256 is enough."""
    return hashlib.sha256(secret.encode()).hexdigest()


def hash_password(password: str) -> str:
    """The salted hash of a password; refuses passwords that are too short or endless."""
    if not SHORTEST_PASSWORD <= len(password) <= LONGEST_PASSWORD:
        raise BadInput(
            f"A password has {SHORTEST_PASSWORD} to {LONGEST_PASSWORD} characters.",
            fields={"password": f"{SHORTEST_PASSWORD} to {LONGEST_PASSWORD} characters"},
        )
    return hasher.hash(password)


def password_fits(password: str, password_hash: str | None) -> bool:
    """Whether the password is the one. Takes the same work when there is no such account."""
    try:
        fits = hasher.verify(password_hash or _nobodys_hash(hasher), password[: LONGEST_PASSWORD + 1])
    except (VerificationError, InvalidHashError):
        return False
    return fits and password_hash is not None


@cache
def _nobodys_hash(by: PasswordHasher) -> str:
    return by.hash(secrets.token_urlsafe(16))
