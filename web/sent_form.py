"""A form by its key, so that it is taken once however often it is sent."""

from __future__ import annotations

import secrets
from contextlib import suppress

from api.what_was_sent import FORM_KEY
from kb.desk.context import RunningShop
from kb.desk.sent_once import Sending, SentOtherwise
from kb.nouns.people import Actor
from web.forms import TypedForm


def new_key() -> str:
    return secrets.token_urlsafe(12)


def sending_of(shop: RunningShop, actor: Actor, path: str, typed: TypedForm) -> Sending | None:
    """What is posted to `path`; None without a key. Raises SentBefore where it was taken already.

    A form over a version is another one once it is changed: its page shows by itself what was saved
    meanwhile. Of any other its page says so, with what was typed.
    """
    key = typed.raw(FORM_KEY)
    if not key:
        return None
    content = f"{path} {typed.content}"
    sending = Sending(shop, actor, f"form {key} {content if typed.raw('version') else ''}", content)
    with shop.reading() as desk, suppress(SentOtherwise):
        sending.refuse_again(desk)
    return sending
