"""Values that were read and are proposed: which of them may be taken together, and which need more first."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import TypeVar

from kb.nouns.vehicles import fold_id

OF_A_MODULE = frozenset({"calibration_id", "cvn", "hardware_number", "software_number"})
"""What is read of a module: kept with a calibration ID of it."""


@dataclass(frozen=True, slots=True)
class ReadProposal:
    """One value of a field, with its module and (of a trouble code) its status where they are said.
    `doubtful` are places of the value, from 1.
    """

    field: str
    value: str
    module: str = ""
    status: str = ""
    doubtful: tuple[int, ...] = ()

    @property
    def of_a_module(self) -> bool:
        return self.field in OF_A_MODULE

    @property
    def is_newest(self) -> bool:
        """Whether it is what the manufacturer's look-up offers, not what is in the module."""
        return self.field == "newest_id"

    @property
    def waits_for_module(self) -> bool:
        """Whether a person has to say first which module it is of."""
        return (self.of_a_module or self.is_newest) and not self.module

    @property
    def to_compare(self) -> bool:
        """Whether some letters of it are in doubt, so that a look at the photo settles them."""
        return 0 < len(self.doubtful) < len(self.value)

    def has_id_among(self, modules: Collection[str]) -> bool:
        """Whether its module is among those `modules_with_id`."""
        return fold_id(self.module) in modules


Proposal = TypeVar("Proposal", bound=ReadProposal)


def modules_with_id(found: Iterable[ReadProposal]) -> frozenset[str]:
    """The modules, folded, of which a calibration ID is among these."""
    named = {fold_id(one.module) for one in found if one.field == "calibration_id"}
    return frozenset(named - {""})


def sure(
    found: Collection[Proposal], takes: Collection[str], *, compared: bool = False
) -> tuple[Proposal, ...]:
    """Those in which nothing is marked (or what is marked was `compared`) and nothing has to be said first,
    and no VIN where there are two. Where part numbers are taken, a number is kept with a calibration ID of
    its module, which must be among them.
    """
    vins = {one.value for one in found if one.field == "vin" and not one.doubtful}
    clear = [
        one
        for one in found
        if one.field in takes
        and (not one.doubtful or (compared and one.to_compare))
        and not one.waits_for_module
        and (one.field != "vin" or len(vins) < 2)
    ]
    if not OF_A_MODULE.issubset(takes):
        return tuple(clear)
    modules = modules_with_id(clear)
    return tuple(one for one in clear if not one.of_a_module or one.has_id_among(modules))
