"""Which notes of a file of the government a shop wants."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum


class Beside(StrEnum):
    """What such files tell of beside motor vehicles."""

    CHILD_SEATS = "child_seats"
    TIRES = "tires"
    TRAILERS = "trailers"
    EQUIPMENT = "equipment"


class NotWanted(StrEnum):
    """Why a note was left out though nothing was wrong with it."""

    OTHER_MAKES = "other_makes"
    NO_SOFTWARE = "no_software"
    CHILD_SEATS = "child_seats"
    TIRES = "tires"
    TRAILERS = "trailers"
    EQUIPMENT = "equipment"


@dataclass(frozen=True, slots=True)
class NotesWanted:
    """`makes`: the only ones to keep, as people write them; none stands for all. `software_only`: only
    what is remedied by software. `also`: what is not about vehicles and wanted all the same.
    """

    makes: tuple[str, ...] = ()
    software_only: bool = False
    also: frozenset[Beside] = frozenset()


def makes_in(text: str) -> tuple[str, ...]:
    """The makes that somebody wrote in one line, parted by commas, semicolons or line ends."""
    told = (" ".join(one.split()) for one in re.split(r"[,;\n]", text))
    return tuple(dict.fromkeys(one for one in told if one))


VEHICLES_OF_ANY_MAKE = NotesWanted()
EVERYTHING = NotesWanted(also=frozenset(Beside))
