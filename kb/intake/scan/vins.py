"""The VINs of a text: 17 characters, named a VIN or alone, settled by the check digit (49 CFR 565.15)."""

from __future__ import annotations

import re
from collections.abc import Iterator

from kb.intake.places import overlaps
from kb.intake.scan.found import Found, Seen
from kb.intake.scan.look_alikes import OTHERS, as_vin, places_apart
from kb.vehicle.vin import VIN_LENGTH, check_digit, is_north_american, normalise, years_of_code

_NAMED = re.compile(
    r"(?:(?<![a-z0-9])v\.?\s?i\.?\s?n\b\.?|vehicle[\s_]*ident\w*(?:[\s_]*(?:number|no\.?|code))?|chassis(?:[\s_]*(?:number|no\.?))?)"
    r"[^a-z0-9]{0,12}(?:(?:number|no|code|is|read)[^a-z0-9]{1,6})?$",
    re.IGNORECASE,
)
_TOGETHER = re.compile(r"(?<![A-Za-z0-9])[Ii]?[A-Za-z0-9]{17}(?![A-Za-z0-9])")
_IN_GROUPS = re.compile(
    r"(?<![A-Za-z0-9])[Ii]?(?=[A-Za-z0-9]{1,11}[ \-])[A-Za-z0-9](?:[ \-]?[A-Za-z0-9]){16}(?![A-Za-z0-9])"
)
_EVERY_PLACE = tuple(range(1, VIN_LENGTH + 1))
_LEAST_LETTERS = 3
_FIGURES_FROM = 13
_AS_FIGURE = str.maketrans("BSZGDLT", "8526017")


def vins_in(text: str, *, by_camera: bool = False) -> Iterator[Found]:
    """Every VIN of a text. One that its check digit does not bear out is doubtful, unless it is named a VIN
    and of a maker outside North America, who need not use it.
    """
    taken: list[tuple[int, int]] = []
    for form in (_TOGETHER, _IN_GROUPS):
        for found in form.finditer(text):
            named = _NAMED.search(text, max(0, found.start() - 60), found.start()) is not None
            if overlaps(*found.span(), taken):
                continue
            vin = _read(found[0], named or found[0] == text.strip(), by_camera)
            if vin and (form is _TOGETHER or named):
                taken.append(found.span())
                yield vin


def _read(printed: str, named: bool, by_camera: bool) -> Found | None:
    vin = as_vin(normalise(printed))
    if (
        len(vin) != VIN_LENGTH
        or not re.search(r"[0-9]", vin)
        or not (vin[8].isdigit() or vin[8] in "XBSZGDL")
    ):
        return _anyhow(vin, printed) if named and len(vin) == VIN_LENGTH else None
    if check_digit(vin) == vin[8] and (named or re.search("[A-Z]", vin)):
        return Found(Seen.VIN, vin, printed, doubtful=_perhaps_j(printed, vin) if by_camera else ())
    if not named and not _looks_like_one(vin):
        return None
    if by_camera:
        return _by_camera(vin, printed)
    sure = named and not is_north_american(vin)
    return Found(Seen.VIN, vin, printed, doubtful=() if sure else _EVERY_PLACE)


def _perhaps_j(printed: str, vin: str) -> tuple[int, ...]:
    """The places of an I that a camera saw: 1 and J, which it may be, count alike in the check digit."""
    read = normalise(printed)
    return tuple(n for n, sign in enumerate(read, start=1) if sign == "I") if len(read) == len(vin) else ()


def _anyhow(vin: str, printed: str) -> Found | None:
    """A named VIN whose place 9 is no check digit: usual outside North America."""
    if not re.search(r"[0-9]{2}", vin):
        return None
    return Found(Seen.VIN, vin, printed, doubtful=_EVERY_PLACE if is_north_american(vin) else ())


def _looks_like_one(vin: str) -> bool:
    letters = sum(sign.isalpha() for sign in vin)
    return (
        letters >= _LEAST_LETTERS
        and vin[_FIGURES_FROM:].translate(_AS_FIGURE).isdecimal()
        and bool(years_of_code(vin[9]))
    )


def _by_camera(read: str, printed: str) -> Found:
    """The one VIN with a right check digit that differs by look-alikes of the last four, which are figures
    (49 CFR 565.15), or by one more elsewhere; else what was read, all of it in doubt.
    """
    vin = read[:_FIGURES_FROM] + read[_FIGURES_FROM:].translate(_AS_FIGURE)
    other = [vin[:n] + sign + vin[n + 1 :] for n, one in enumerate(vin) for sign in OTHERS.get(one, "")]
    right = [vin] if check_digit(vin) == vin[8] else [one for one in other if one[8] == check_digit(one)]
    if len(right) != 1:
        return Found(Seen.VIN, read, printed, doubtful=_EVERY_PLACE)
    return Found(Seen.VIN, right[0], printed, doubtful=places_apart(read, right[0]))
