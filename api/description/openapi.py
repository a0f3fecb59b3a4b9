"""The OpenAPI description: what the routes say of themselves, and what holds for all of them."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from typing import Any

from fastapi.routing import iter_route_contexts
from pydantic import BaseModel

from api.description.examples import EXAMPLES
from api.description.parameters import meaning_of
from api.methods import Addresses
from api.middleware import Guarded
from api.security import COOKIE, FORM_TOKEN_HEADER, SAFE_METHODS
from api.what_was_sent import KEY_HEADER

ABOUT = (
    "A shop's own memory for module reprogramming. It advises; the manufacturer's instructions decide. "
    'Every error: {"error": {"code", "message", "fields"?, "details"?}}. '
    "A call that changes something may carry an Idempotency-Key (a UUID). Sent again with it by the same "
    "person within thirty days it is answered as at first and changes nothing more; while the first is at "
    "work it waits; with other content it is refused (422). A call that was refused may use its key again."
)

_SCHEMES = {
    "bearer": {
        "type": "http",
        "scheme": "bearer",
        "description": "A token of `beforeflash token NAME`, or one of your own page, which may do less: "
        "Authorization: Bearer TOKEN. One that only reads is refused (403) whatever else than GET.",
    },
    "cookie": {
        "type": "apiKey",
        "in": "cookie",
        "name": COOKIE,
        "description": "What a sign-in gives; over HTTPS its name begins with __Host- as well.",
    },
    "form_token": {
        "type": "apiKey",
        "in": "header",
        "name": FORM_TOKEN_HEADER,
        "description": "Of a sign-in by cookie; needed beside the cookie where something is changed.",
    },
}
_TO_READ: list[dict[str, list[str]]] = [{"bearer": []}, {"cookie": []}]
_TO_CHANGE: list[dict[str, list[str]]] = [{"bearer": []}, {"cookie": [], "form_token": []}]


class Described(Guarded):
    """An application whose description is complete: ways to sign in, and what an answer always holds."""

    @cached_property
    def addresses(self) -> Addresses:
        """Every path with the methods it takes."""
        return Addresses.of((one.path or "", one.methods or ()) for one in iter_route_contexts(self.routes))

    def openapi(self) -> dict[str, Any]:
        is_new = self.openapi_schema is None
        told = super().openapi()
        if is_new:
            told["components"]["securitySchemes"] = _SCHEMES
            for methods in told["paths"].values():
                for method, call in methods.items():
                    _complete(call, method)
            _say_what_is_always_there(told)
        return told


def _complete(call: dict[str, Any], method: str) -> None:
    """Say who may call, what its parameters mean, and what its body looks like."""
    call.setdefault("security", _TO_READ if method.upper() in SAFE_METHODS else _TO_CHANGE)
    if method.upper() in SAFE_METHODS:
        _without_key(call)
    asked = call.get("parameters", ())
    has_body = "requestBody" in call
    names_one = any(one["in"] == "path" or one["name"] == "after" for one in asked)
    for status, may_be in (("404", names_one or has_body), ("413", has_body)):
        if not may_be:
            del call["responses"][status]
    for one in asked:
        one["description"], one["example"] = meaning_of(call["operationId"], one["name"])
    for content in call.get("requestBody", {}).get("content", {}).values():
        content["example"] = EXAMPLES[call["operationId"]]


def _without_key(call: dict[str, Any]) -> None:
    """What changes nothing may be asked again."""
    asked = [one for one in call.pop("parameters", ()) if one["name"] != KEY_HEADER]
    if asked:
        call["parameters"] = asked


def _say_what_is_always_there(told: dict[str, Any]) -> None:
    """A frozen value goes out whole, also what it has a default for; a body's own class says so itself."""
    own = {one.__name__ for one in _below(BaseModel)}
    for name, schema in told["components"]["schemas"].items():
        if name not in own and "properties" in schema:
            schema["required"] = list(schema["properties"])


def _below(kind: type[BaseModel]) -> Iterator[type[BaseModel]]:
    for one in kind.__subclasses__():
        yield one
        yield from _below(one)
