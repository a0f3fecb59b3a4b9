"""What routes ask for: the call with the person behind it.

Who calls is settled before the body is looked at (`api/routing.py`). The transaction is opened by the route
itself, in its own thread (`with call.writing() as desk:`), and is committed before the answer leaves: a
transaction that a dependency opened would wait for a thread while it holds the only pen.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated

from fastapi import BackgroundTasks, Depends, Header, Path, Request

from api.schemas.base import BIGGEST_ID
from api.security import SAFE_METHODS, Call, call_of, note_use
from api.what_was_sent import KEY_HEADER, hash_of_request
from kb.desk.sent_once import Sending
from kb.desk.shop.demo_filling import refuse_while_filling

_LONGEST_KEY = 255
Key = Annotated[str, Header(alias=KEY_HEADER, max_length=_LONGEST_KEY)]


@dataclass(frozen=True, slots=True)
class Sent:
    """What a request is known again by; without a key it is not."""

    key: str = ""
    content: str = ""


async def sent_with_key(request: Request, idempotency_key: Key = "") -> Sent:
    """The request's key and a hash of what it sent."""
    key = idempotency_key.strip().strip('"')  # a string of RFC 8941 stands in quotes
    is_one = bool(key) and request.method not in SAFE_METHODS
    return Sent(key, await hash_of_request(request)) if is_one else Sent()


def signed_in(
    request: Request, sent: Annotated[Sent, Depends(sent_with_key)], afterwards: BackgroundTasks
) -> Call:
    """Who was let in by the route, with the key of what they sent.

    A demo that is still being filled raises NotReady: a program would take half a story for the whole.
    """
    call = call_of(request)
    if call.worth_noting:
        afterwards.add_task(note_use, request, call.shop, call.actor.came_by)
    if call.shop.facts.is_demo:
        with call.reading() as desk:
            refuse_while_filling(desk)
    if not sent.key:
        return call
    return replace(call, sending=Sending(call.shop, call.actor, f"call {sent.key}", sent.content))


SignedInCall = Annotated[Call, Depends(signed_in)]
AnyCall = Annotated[Call, Depends(call_of)]
"""Also nobody, at a route for anybody."""
Id = Annotated[int, Path(ge=1, le=BIGGEST_ID)]
