"""Numbers as people type them: commas between thousands are dropped, any other comma is ambiguous."""

from __future__ import annotations

import re

from kb.errors import BadInput

_GROUPED = re.compile(r"-?\d{1,3}(,\d{3})+(\.\d*)?")


def without_commas(text: str, field: str) -> str:
    """Such as "1250.50" of "1,250.50". Raises BadInput naming `field` where the comma may be a point."""
    if "," not in text:
        return text
    if not _GROUPED.fullmatch(text):
        raise BadInput(
            f"{text} can be read in two ways. Write 12.50 or 1,250.", fields={field: "12.50 or 1,250"}
        )
    return text.replace(",", "")
