"""What the parts of a bulletin are headed by (headings.toml)."""

from __future__ import annotations

import re
from enum import StrEnum
from functools import lru_cache

from kb.nouns.word_files import word_file


class Part(StrEnum):
    """What a part of a paper tells."""

    PLAIN = "plain"
    NUMBER = "number"
    DAY = "day"
    TITLE = "title"
    VEHICLES = "vehicles"
    MAKE = "make"
    MODEL = "model"
    YEARS = "years"
    ENGINE = "engine"
    BUILT = "built"
    MODULE = "module"
    SYMPTOM = "symptom"
    CONDITIONS = "conditions"
    CAUSE = "cause"
    REMEDY = "remedy"
    PROCEDURE = "procedure"
    PRECAUTIONS = "precautions"
    RELEARNS = "relearns"
    EXACT = "exact"
    AGAINST = "against"
    CODES = "codes"
    REPLACES = "replaces"
    CALIBRATIONS = "calibrations"
    PAPERWORK = "paperwork"


_SPELLED = {
    "NO": r"(?:\s*(?:number|nos?\.?|num\.?|nr\.?|\#|id))",
    "OF": r"(?:description\s+of\s+(?:the\s+)?)",
    " ": r"\s+",
}
_LONGEST = 60
_TWO = 2


def part_headed(label: str) -> Part | None:
    """The part that a heading begins, or None for words that are no heading."""
    said = " ".join(label.split())
    if not 0 < len(said) <= _LONGEST:
        return None
    pattern, parts = _headings()
    found = pattern.fullmatch(said) or _either(pattern, said)
    return parts[int((found.lastgroup or "p0")[1:])] if found else None


def _either(pattern: re.Pattern[str], said: str) -> re.Match[str] | None:
    """Of a heading of two ("Recommendation/Instructions"), where both are some, the first."""
    found = [pattern.fullmatch(one.strip()) for one in said.split("/")]
    return found[0] if len(found) == _TWO and all(found) else None


@lru_cache(maxsize=1)
def _headings() -> tuple[re.Pattern[str], tuple[Part, ...]]:
    told = word_file("kb.intake.text.paper", "headings.toml")
    one_of = (f"(?P<p{n}>{'|'.join(map(_spelled, forms))})" for n, forms in enumerate(told.values()))
    return re.compile("|".join(one_of), re.IGNORECASE), tuple(map(Part, told))


def _spelled(form: str) -> str:
    return re.sub(r"NO|OF| ", lambda found: _SPELLED[found[0]], form)
