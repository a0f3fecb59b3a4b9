"""The form token as a page carries it: masked, another on each page.

Pages are compressed, and a page may repeat what was asked for. Whoever could make a browser ask again and
again and measured how long the answers are would learn a secret that stays the same (the attack called
BREACH); of a token that no two pages write alike there is nothing to learn.
"""

from __future__ import annotations

import hmac
import secrets
from base64 import urlsafe_b64decode, urlsafe_b64encode


def masked(token: str) -> str:
    """Another text each time, from which only `is_token` tells the token."""
    plain = token.encode()
    mask = secrets.token_bytes(len(plain))
    return urlsafe_b64encode(mask + _mixed(plain, mask)).decode()


def is_token(sent: str, token: str) -> bool:
    """Whether this is the token, masked by a page or as the interface gives it."""
    return _same(sent.encode(), token) or _same(_unmasked(sent), token)


def _same(sent: bytes, token: str) -> bool:
    return hmac.compare_digest(sent, token.encode())


def _unmasked(sent: str) -> bytes:
    try:
        both = urlsafe_b64decode(sent.encode())
    except ValueError:
        return b""
    half = len(both) // 2
    return _mixed(both[:half], both[half:])


def _mixed(one: bytes, other: bytes) -> bytes:
    return bytes(a ^ b for a, b in zip(one, other, strict=False))
