"""A refusal that names its fields, also where the form is too long to see them all."""

from __future__ import annotations

from collections.abc import Mapping

_CALLED = {
    "ends_on": "last day",
    "bought_on": "day it was bought",
    "place": "where one stands",
    "text": "what it asks for",
    "yes_word": "word for yes",
    "no_word": "word for no",
    "yes_in_10_cured": "yes, of 10 that an update cured",
    "yes_in_10_not": "yes, of 10 that it did not",
    "wait_minutes": "waiting",
    "minutes": "work",
    "cost_minor": "material",
    "saved_minor": "what it saves",
    "name": "what to do",
    "attached_to": "notes it speaks for",
    "printed": "limits printed in notes",
    "limit": "limit",
    "upper": "upper limit",
    "between": "left open",
    "most": "most that can be",
    "support_line": "support line",
    "support_hours": "its hours",
    "module_days": "days until a module is here",
    "module_price": "price of a module",
    "customer_sentence": "what the customer is told",
}


def named(sentence: str, wrong: Mapping[str, str]) -> str:
    """Such as "The subscription cannot be saved like this: make (needed), price (not below 0)."."""
    return f"{sentence}: {', '.join(f'{_CALLED.get(name, name)} ({why})' for name, why in wrong.items())}."
