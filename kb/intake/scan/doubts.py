"""Which letters of a value that a camera read are to be compared with the original."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from itertools import product
from math import prod

from kb.intake.scan.found import Found, Seen
from kb.intake.scan.look_alikes import ANY, PRINTED, as_figures, as_vin
from kb.vehicle.vin import check_digit

_FIGURES, _HEX = "0123456789", "0123456789ABCDEF"
_IN_VIN = "ABCDEFGHJKLMNPRSTUVWXYZ0123456789"
_SERIAL_FROM = 14
"""The last four signs of a VIN are figures (49 CFR 565.15)."""
_OF_ONE_LENGTH = (Seen.CODE, Seen.CVN, Seen.VIN)
_UNIT = re.compile(r"\s*(?:mi|miles|km|kilomet\w+|v|volts?|vdc)\W*$", re.IGNORECASE)
_MOST_OTHERS = 4096
"""So many other VINs are tried against the check digit; where there are more, none is ruled out."""


def compared(one: Found, rivals: Mapping[str, Mapping[int, str]]) -> Found:
    """What a camera read, with the letters in doubt: those that may be another one by the field's own form,
    and in a VIN by the check digit too.
    """
    others = {n: may_be for n, said in _rivals_of(one, rivals).items() if (may_be := _by_form(one, n, said))}
    if one.field is Seen.VIN and not one.doubtful:
        return replace(one, doubtful=_by_check_digit(one.value, others))
    doubtful = {*one.doubtful, *others}
    narrow = any(n + 1 in doubtful and _are_narrow(one.value[n - 1 : n + 1]) for n in doubtful)
    if narrow or (one.field not in _OF_ONE_LENGTH and _may_be_cut(one.value, others)):
        doubtful = set(range(1, len(one.value) + 1))
    return replace(one, doubtful=tuple(sorted(doubtful)))


def _by_form(one: Found, place: int, rivals: str) -> str:
    """Of the rivals of a sign those that the form lets stand there and does not take for the same."""
    allowed = _allowed(one.field, place)
    read = as_vin if one.field is Seen.VIN else str.upper
    read = as_figures if allowed in (_FIGURES, _HEX, "0123") else read
    return "".join(
        {
            may_be
            for sign in rivals
            if (may_be := read(sign)) != one.value[place - 1].upper()
            and (sign == ANY or not allowed or may_be in allowed)
        }
    )


def _allowed(field: Seen, place: int) -> str:
    """The signs that may stand at a place: SAE J2012 codes, J1979 CVNs, 49 CFR 565 VINs; empty for any."""
    if field is Seen.CODE:
        return {1: "PCBU", 2: "0123"}.get(place, _HEX)
    if field is Seen.VIN:
        return _FIGURES if place >= _SERIAL_FROM else f"{_FIGURES}X" if place == 9 else _IN_VIN
    return {Seen.CVN: _HEX, Seen.ODOMETER: _FIGURES, Seen.VOLTAGE: _FIGURES}.get(field, "")


def _by_check_digit(vin: str, others: Mapping[int, str]) -> tuple[int, ...]:
    """The places in which a VIN with a right check digit differs that may have been meant as well."""
    if any(ANY in said for said in others.values()):
        return tuple(sorted(others)) if len(others) > 1 else ()
    if prod(len(said) + 1 for said in others.values()) > _MOST_OTHERS:
        return tuple(sorted(others))
    found: set[int] = set()
    for signs in product(*(vin[n - 1] + said for n, said in others.items())):
        put = dict(zip(others, signs, strict=True))
        other = "".join(put.get(n, sign) for n, sign in enumerate(vin, start=1))
        if check_digit(other) == other[8]:
            found.update(n for n in put if put[n] != vin[n - 1])
    return tuple(sorted(found))


def _may_be_cut(value: str, others: Mapping[int, str]) -> bool:
    """Whether its first or last sign was seen so badly that more of them may stand beside it."""
    return ANY in others.get(1, "") or ANY in others.get(len(value), "")


def _are_narrow(letters: str) -> bool:
    """Letters so narrow that two of them are read as one, or one as two."""
    return len(letters) > 1 and set(letters.upper()) <= set("1IJL")


def _rivals_of(one: Found, rivals: Mapping[str, Mapping[int, str]]) -> dict[int, str]:
    """What the places of a value may be, from 1, by what it was read from; all of them anything, where the
    value is longer or shorter than that.
    """
    printed = _UNIT.sub("", one.read_from) if one.field in (Seen.ODOMETER, Seen.VOLTAGE) else one.read_from
    read = [
        rivals.get(word[0], {}).get(n - word.start() + 1, "")
        for word in PRINTED.finditer(printed)
        for n, sign in enumerate(word[0], start=word.start())
        if sign.isalnum()
    ]
    places = [n for n, sign in enumerate(one.value, start=1) if sign.isalnum()]
    if len(read) == len(places):
        return {n: said for n, said in zip(places, read, strict=True) if said}
    return dict.fromkeys(places, ANY) if any(read) else {}
