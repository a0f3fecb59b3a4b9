"""Bodies about people and sign-ins."""

from __future__ import annotations

from api.schemas.base import In, Out, Word


class SignInBody(In):
    name: Word
    password: Word


class MeOut(Out):
    """Who is signed in. Cookie sign-ins send `form_token` back in the header X-Form-Token."""

    name: str
    role: str
    form_token: str


class UserIn(In):
    name: Word
    display_name: Word = ""
    role: Word
    password: Word


class UserChange(In):
    version: int
    display_name: Word
    role: Word


class PasswordIn(In):
    password: Word
