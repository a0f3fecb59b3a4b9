"""What a shop has at hand, by make, for the day that programming fails: written down before it does."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class FailureSheetDraft:
    """`latest_start`: after it no programming of this make is begun that day, as "15:30"; empty: not known.

    `module_days`: working days until a new module is here. `customer_sentence` is what the customer is told.
    """

    make: str
    support_line: str = ""
    support_hours: str = ""
    latest_start: str = ""
    module_price_minor: int | None = None
    module_days: int | None = None
    tow: str = ""
    customer_sentence: str = ""


@dataclass(frozen=True, slots=True)
class FailureSheet:
    """A sheet as it stands, with who looked it up last."""

    id: int
    version: int
    by: str
    looked_up_on: date
    content: FailureSheetDraft


@dataclass(frozen=True, slots=True)
class WhenItFails:
    """A make's sheet as prep and the failed page show it.

    `missing`: what nobody entered, in words. `too_late`: a sentence where today's latest start has passed.
    `tell_customer`: the sheet's sentence, else one made of what is known.
    """

    make: str
    sheet: FailureSheetDraft | None
    missing: tuple[str, ...]
    too_late: str
    tell_customer: str
