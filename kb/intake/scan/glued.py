"""Words that a camera saw without the blank between them, told apart by the forms of codes and VINs."""

from __future__ import annotations

import re
from collections.abc import Iterator

from kb.intake.scan.look_alikes import as_vin
from kb.vehicle.vin import check_digit

_BEHIND_CODE = re.compile(
    r"(?<![A-Za-z0-9])[PCBU][0-3OoIl][0-9A-FOoIl]{3}(?:[-.:][0-9A-FOo]{2})?(?=[A-Z][a-z]{2})"
)
_BEFORE_VIN = re.compile(r"(?<![A-Za-z0-9])[A-Za-z]{2,20}?(?=(?P<vin>[A-Z0-9]{17})(?![A-Za-z0-9]))")


def glued_at(words: str) -> Iterator[int]:
    """The places where a blank belongs."""
    yield from (found.end() for found in _BEHIND_CODE.finditer(words))
    for found in _BEFORE_VIN.finditer(words):
        vin = as_vin(found["vin"])
        if check_digit(vin) == vin[8] or found[0].upper() == "VIN":
            yield found.end()
