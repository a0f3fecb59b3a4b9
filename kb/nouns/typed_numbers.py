"""Numbers as people type them: commas between thousands are dropped, any other comma may be a point."""

from __future__ import annotations

import re

from kb.errors import BadInput

_GROUPED = re.compile(r"-?\d{1,3}(,\d{3})+(\.\d*)?")


def ungrouped(text: str) -> str:
    """Such as "61200" of "61,200": the commas of whole thousands taken out. Any other text stays as it is."""
    return text.replace(",", "") if _GROUPED.fullmatch(text) else text


def without_commas(text: str, field: str) -> str:
    """Such as "1250.50" of "1,250.50". Raises BadInput naming `field` where the comma may be a point."""
    plain = ungrouped(text)
    if "," in plain:
        raise BadInput(
            f"{text} can be read in two ways. Write 12.50 or 1,250.", fields={field: "12.50 or 1,250"}
        )
    return plain
