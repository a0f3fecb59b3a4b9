"""What a VIN's beginning says of make, model and engine, by the vehicles that the shop had.

Positions 1 to 3 name the maker and 4 to 8 describe the vehicle (49 CFR 565.15), so that vehicles alike in
them are alike in what they describe; what of it is the engine each maker decides. Where they differ nothing
is said.
"""

from __future__ import annotations

from collections.abc import Iterable

from kb.nouns.bay.known import KnownOfVin
from kb.nouns.vehicles import Vehicle
from kb.vehicle.families import fold

DESCRIBES = 8
"""Characters of a VIN that name the maker and describe the vehicle."""


def known_of(vin: str, vehicles: Iterable[Vehicle]) -> KnownOfVin | None:
    """What these vehicles, whose VINs begin as this one, agree on; None where that is nothing."""
    alike = [one for one in vehicles if one.vin[:DESCRIBES] == vin[:DESCRIBES]]
    make, model = _agreed(one.make for one in alike), _agreed(one.model for one in alike)
    engine = _agreed(one.engine for one in alike)
    if not make:
        return None
    return KnownOfVin(make, model, engine if model else "", vin[:DESCRIBES], len(alike))


def _agreed(said: Iterable[str]) -> str:
    """What all say that say something, in the words of the last; else nothing."""
    known = [one for one in said if one]
    return known[-1] if len({fold(one) for one in known}) == 1 else ""
