"""A client that holds every answer against the description of the interface: stated, and of that shape."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

from jsonschema import Draft202012Validator
from starlette.testclient import TestClient


@dataclass
class Promises:
    """What a description says, ready to be asked; validators are made once."""

    described: dict[str, Any]
    _validators: dict[tuple[str, str], Draft202012Validator] = field(default_factory=dict)

    def of(self, method: str, path: str) -> dict[str, Any] | None:
        """The call that a path is of; literal paths before those with parameters."""
        fitting = [
            (template.count("{"), methods[method])
            for template, methods in self.described["paths"].items()
            if method in methods and re.fullmatch(re.sub(r"\{[^}]*\}", "[^/]+", template), path)
        ]
        return min(fitting, key=lambda one: one[0])[1] if fitting else None

    def validator(self, call: dict[str, Any], status: str) -> Draft202012Validator:
        key = (call["operationId"], status)
        if key not in self._validators:
            schema = call["responses"][status]["content"]["application/json"]["schema"]
            whole = {**schema, "components": self.described["components"]}
            self._validators[key] = Draft202012Validator(whole)
        return self._validators[key]


def hold(client: TestClient, promises: Promises) -> None:
    """From now on `client` raises AssertionError for an answer that is not as promised.

    A fault of the server (500) is no promise; nor is an address that does not exist.
    """

    def look(answer: Any) -> None:
        method, path, status = answer.request.method.lower(), answer.request.url.path, str(answer.status_code)
        call = promises.of(method, path)
        if call is None or status == "500":
            return
        answer.read()
        said = f"{method} {path} answered {status}"
        assert status in call["responses"], f"{said}, which is not stated: {answer.text[:300]}"
        content = call["responses"][status].get("content", {})
        if answer.headers.get("content-type", "").partition(";")[0] in content.keys() - {"application/json"}:
            return
        if answer.content:
            faults = promises.validator(call, status).iter_errors(answer.json())
            told = [f"{one.json_path}: {one.message}"[:300] for one in faults]
            assert not told, f"{said}, not as described: {told[:3]}"

    client.event_hooks["response"].append(look)
