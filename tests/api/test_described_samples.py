"""A sample of what `python -m tests.bench.described` does in full: each call once, with what chance makes of
the description alone, and the answer held to it.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis import Case, Config
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    positive_data_acceptance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from kb.desk.context import RunningShop
from tests.applications import interface_over
from tests.bench import described
from tests.bench.described import rules
from tests.factories import headers_of

OF_THE_ANSWER = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    positive_data_acceptance,
]
ONCE = settings(
    max_examples=1,
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)


def hold(operation: Any, caller: dict[str, str]) -> None:
    @ONCE
    @given(operation.as_strategy())
    def ask(case: Case[Any]) -> None:
        answer = case.call(headers=caller)
        assert answer.status_code != 401 or operation.label == "POST /api/sign-in", operation.label
        rules.every_rule_of_form_is_described(None, answer, case)
        case.validate_response(answer, checks=OF_THE_ANSWER)

    ask()


def test_every_call_keeps_to_its_description_whatever_fits_it(
    sqlite_shop: RunningShop, as_owner: dict[str, str]
) -> None:
    config = Config.from_path(Path(described.__file__).with_name("schemathesis.toml"))
    app: Any = interface_over(sqlite_shop)
    schema = schemathesis.openapi.from_asgi("/api/openapi.json", app, headers=as_owner, config=config)
    operations: list[Any] = [found.ok() for found in schema.get_all_operations()]  # type: ignore[union-attr]
    assert len(operations) > 150
    for operation in operations:
        hold(operation, headers_of(sqlite_shop, "owner"))  # the call before may have ended the last token
