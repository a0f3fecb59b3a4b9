"""What the shop knows already and proposes: with where it is from in words, never taken by itself."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class KnownFrom(StrEnum):
    """`still_in`: the shop put it into the module; `like_vehicle`: a look-up of a like vehicle named it."""

    STILL_IN = "still_in"
    LIKE_VEHICLE = "like_vehicle"


@dataclass(frozen=True, slots=True)
class KnownId:
    """A calibration ID that is proposed for a module, and the `sentence` that says where it is from."""

    known_from: KnownFrom
    module: str
    calibration_id: str
    cvn: str
    on: date
    by: str
    sentence: str


@dataclass(frozen=True, slots=True)
class KnownOfVin:
    """What vehicles here have in common whose VIN begins alike; empty where they differ or do not say.

    `begins` is what of the VIN was compared, and `vehicles` how many there are: none where the VIN itself
    says it by its maker's own scheme. `year` is the VIN's.
    """

    make: str
    model: str
    engine: str
    begins: str
    vehicles: int
    year: int | None = None

    @property
    def name(self) -> str:
        return " ".join(str(said) for said in (self.year, self.make, self.model, self.engine) if said)

    @property
    def sentence(self) -> str:
        if not self.vehicles:
            return f"By the VIN itself: {self.name}."
        many = "1 vehicle" if self.vehicles == 1 else f"{self.vehicles} vehicles"
        return f"{many} here with a VIN that begins {self.begins}: {self.name}."
