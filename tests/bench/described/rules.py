"""What the description says in words and no schema can."""

from __future__ import annotations

import uuid
from datetime import UTC, date, datetime
from typing import Any

import schemathesis
from hypothesis import strategies as st

FIRST_YEAR, THIS_YEAR = 1886, datetime.now(UTC).year
OF_FORM = "The request cannot be taken as it stands"
KEY_HEADER = "Idempotency-Key"

# JSON Schema has no range of days; the description says the years in words.
schemathesis.openapi.format(
    "date", st.dates(date(FIRST_YEAR, 1, 1), date(THIS_YEAR + 1, 12, 31)).map(date.isoformat)
)
schemathesis.openapi.format(
    "date-time", st.dates(date(FIRST_YEAR, 1, 2), date(THIS_YEAR, 12, 30)).map(lambda day: f"{day}T08:05:00Z")
)


@schemathesis.hook
def before_call(context: Any, case: Any, kwargs: Any) -> None:
    """A key of its own for every request: the same key with another request is refused, as it should be."""
    if case.headers.get(KEY_HEADER):
        case.headers[KEY_HEADER] = str(uuid.uuid4())


@schemathesis.hook
def filter_body(context: Any, body: Any) -> bool:
    """A form has no kinds: what is no text in the place of a file goes out as a file all the same."""
    is_form = any(one.media_type.startswith("multipart/") for one in context.operation.body)
    files = body.get("file") if is_form and isinstance(body, dict) else None
    return all(isinstance(one, str | bytes) for one in (files if isinstance(files, list) else [files or ""]))


@schemathesis.check
def every_rule_of_form_is_described(context: Any, response: Any, case: Any) -> None:
    """What fits the description is never refused by the form of a field, only by a rule of the shop.

    A link may carry a null of an answer into an address, which fits no description.
    """
    carries_nothing = None in (case.path_parameters or {}).values()
    drawn_to_fit = case.meta is not None and case.meta.generation.mode.is_positive
    is_as_described = drawn_to_fit and not carries_nothing
    if is_as_described and response.status_code == 422 and OF_FORM in response.json()["error"]["message"]:
        raise AssertionError(f"refused by a form that is not described: {response.text[:500]}")
