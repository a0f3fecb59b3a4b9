"""Vehicle identification numbers: form, check digit and model year.

Sources: 49 CFR 565.15, tables III to V (letter values, weights, integer remainder modulo 11) and table VII
(model-year codes; 2010 is the first year whose code repeats, 73 FR 23367). The rule of position 7 is from
memory of 49 CFR 565.15; it is for cars and light trucks only.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from kb.errors import BadInput
from kb.nouns.model_years import newest_model_year

FIRST_17_CHARACTER_YEAR = 1981
VIN_LENGTH = 17
_VALUES = {str(d): d for d in range(10)} | dict(
    zip("ABCDEFGHJKLMNPRSTUVWXYZ", [*range(1, 9), *range(1, 6), 7, 9, *range(2, 10)], strict=True)
)
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
_YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"
_LOOKS_LIKE = {"I": "1", "O": "0", "Q": "0"}
_FORM = re.compile(r"[A-Z0-9]+")


@dataclass(frozen=True, slots=True)
class VinReading:
    """A VIN as taken: normalised, the year given or read from it, and what a person should look at.

    `to_confirm`: its check digit is wrong although it comes from North America.
    """

    vin: str
    year: int | None = None
    warnings: tuple[str, ...] = ()
    to_confirm: bool = False


def normalise(vin: str) -> str:
    """Upper case without spaces, hyphens and the stars some plates print at the ends.

    An 18th character "I" in front is the import mark of VIN bar codes (common practice, no source);
    no VIN holds an I, so it is dropped.
    """
    text = re.sub(r"[\s\-\u2010-\u2015]", "", vin).strip("*").upper()
    return text[1:] if len(text) == VIN_LENGTH + 1 and text[0] == "I" else text


def is_north_american(vin: str) -> bool:
    """Whether the first character, 1 to 5, names the United States, Canada or Mexico."""
    return vin[:1] in {"1", "2", "3", "4", "5"}


def check_digit(vin: str) -> str:
    """The check digit that belongs at position 9: the weighted sum modulo 11, ten written X.

    Takes 17 normalised characters without I, O and Q; raises BadInput otherwise.
    """
    if len(vin) != VIN_LENGTH or any(c not in _VALUES for c in vin[:8] + vin[9:]):
        raise BadInput("A check digit needs 17 characters without I, O and Q.", fields={"vin": "not 17"})
    remainder = weighted_sum(vin) % 11
    return "X" if remainder == 10 else str(remainder)


def weighted_sum(vin: str) -> int:
    """Sum of value times weight over 17 characters; position 9 weighs nothing."""
    return sum(_VALUES.get(c, 0) * w for c, w in zip(vin, _WEIGHTS, strict=True))


def years_of_code(code: str) -> tuple[int, ...]:
    """The model years that a position-10 code can mean, 1980 to 2039; empty for a code never used."""
    place = _YEAR_CODES.find(code) if len(code) == 1 else -1
    return () if place < 0 else (1980 + place, 2010 + place)


def model_year(vin: str, this_year: int) -> int | None:
    """Model year by position 10: a letter at position 7 means 2010 to 2039, a digit 1980 to 2009.

    A year later than the next one is taken as the earlier of the two. None where the VIN does not say. The
    rule is for cars and light trucks; `kb.vehicle.decode` knows the type of vehicle and goes first.
    """
    text = normalise(vin)
    years = years_of_code(text[9]) if len(text) == VIN_LENGTH else ()
    if not years:
        return None
    later = text[6].isalpha() and years[1] <= newest_model_year(this_year)
    return years[1] if later else years[0]


def read_vin(vin: str, year: int | None, this_year: int) -> VinReading:
    """Take a VIN by its form, or raise BadInput with `fields={"vin": ...}`.

    From model year 1981 on a VIN has 17 characters and no I, O or Q; of an unknown year another length
    only warns. A wrong check digit warns, and is `to_confirm` on a North American VIN. An empty VIN is
    taken as not known.
    """
    text = normalise(vin)
    if not text:
        return VinReading("", year)
    if not _FORM.fullmatch(text):
        _refuse("A VIN holds letters and digits only. Check it against the plate or the registration.")
    if year is not None and year < FIRST_17_CHARACTER_YEAR:
        return VinReading(text, year)
    if len(text) != VIN_LENGTH:
        return _other_length(text, year)
    _refuse_letters(text)
    right = check_digit(text) == text[8]
    warnings = (*(() if right else (_check_digit_warning(text),)), *_year_warning(text, year))
    to_confirm = not right and is_north_american(text)
    return VinReading(text, year or model_year(text, this_year), warnings, to_confirm)


def check_vin(vin: str, year: int | None, *, confirmed: bool = False, this_year: int) -> VinReading:
    """As read_vin, but a wrong check digit on a North American VIN is refused until `confirmed`."""
    reading = read_vin(vin, year, this_year)
    if reading.to_confirm and not confirmed:
        raise BadInput(
            f"{reading.warnings[0]} If the plate really reads so, tick “I read it again: it is right”.",
            fields={"vin": "wrong check digit: compare it with the plate, then confirm it"},
            details={"confirmed_by": "vin_confirmed"},
        )
    return reading


def _refuse(message: str) -> None:
    raise BadInput(message, fields={"vin": message})


def _other_length(text: str, year: int | None) -> VinReading:
    count = f"{len(text)} character{'' if len(text) == 1 else 's'}"
    message = f"This VIN has {count}; a VIN from model year 1981 on has 17. Check it against the plate."
    if year is not None:
        _refuse(message)
    return VinReading(text, None, (f"{message} If the vehicle is older, enter its model year.",))


def _refuse_letters(text: str) -> None:
    for place, letter in enumerate(text, start=1):
        if letter in _LOOKS_LIKE:
            _refuse(
                f"Character {place} of this VIN is the letter {letter}, which no VIN has. "
                f"It is probably a {_LOOKS_LIKE[letter]}. Check it against the plate."
            )


def _check_digit_warning(text: str) -> str:
    wrong = f"The check digit of this VIN (position 9) is {text[8]}; the others ask for {check_digit(text)}."
    if is_north_american(text):
        return f"{wrong} One character is probably mistyped. Compare it with the plate."
    return f"{wrong} Not every maker outside North America uses it. Compare it with the plate."


def _year_warning(text: str, year: int | None) -> tuple[str, ...]:
    years = years_of_code(text[9])
    if year is None or not is_north_american(text) or not years or year in years:
        return ()
    said = " or ".join(map(str, years))
    return (f"Position 10 of this VIN says model year {said}, not {year}. Check the year.",)
