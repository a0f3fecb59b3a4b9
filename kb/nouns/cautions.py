"""What can hurt somebody, as it is said of one concern."""

from __future__ import annotations

from dataclasses import dataclass

DO_NOT_DRIVE = "do_not_drive"
_FOR_THE_CUSTOMER = frozenset((DO_NOT_DRIVE, "misfire", "stop_charging"))


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution. `key` is what kind it is, `danger` what of; who cleared it to be driven, and why."""

    key: str
    sentence: str
    danger: str = ""
    cleared_by: str = ""
    cleared_because: str = ""

    @property
    def is_cleared(self) -> bool:
        return bool(self.cleared_by)

    @property
    def keeps_it_parked(self) -> bool:
        """Whether the vehicle must not be driven, road tests among it."""
        return self.key == DO_NOT_DRIVE and not self.is_cleared

    @property
    def is_for_the_customer(self) -> bool:
        """Whether whoever drives the vehicle away must know it."""
        return self.key in _FOR_THE_CUSTOMER and not self.is_cleared
