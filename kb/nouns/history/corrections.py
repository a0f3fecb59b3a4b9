"""What a technician's text on a finished job tells of the software of modules."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from kb.nouns.concerns import RoadTest

Place = tuple[int, int]
"""From and to, in the text as written."""


class Kind(StrEnum):
    """What was done. Only `reflashed` is ever proposed as a reflash.

    `replaced`: a module was replaced, and programming it belongs to that. `nothing_newer`: the latest was
    in it. `elsewhere`: a dealer's or another's work; `before`: it was done before this visit. `setup`:
    learned or configured. `unsure`: it speaks of programming, and what was done is not plain.
    """

    REFLASHED = "reflashed"
    REPLACED = "replaced"
    DECLINED = "declined"
    NOTHING_NEWER = "nothing_newer"
    ELSEWHERE = "elsewhere"
    BEFORE = "before"
    BY_AIR = "by_air"
    FAILED = "failed"
    RECOMMENDED = "recommended"
    NOT_DONE = "not_done"
    KEY = "key"
    RADIO = "radio"
    TPMS = "tpms"
    INJECTORS = "injectors"
    SETUP = "setup"
    UNSURE = "unsure"


@dataclass(frozen=True, slots=True)
class JobTold:
    """One thing that the text tells. `update` is a bulletin's number as written, empty where none is named.

    `road_test` is None where nothing is told of it. `wording`: the words that told the act, alike texts under
    one. `marks` are the places of the words that were read, in order and apart.
    """

    kind: Kind
    module: str = ""
    update: str = ""
    old_ids: tuple[str, ...] = ()
    new_id: str = ""
    road_test: RoadTest | None = None
    wording: str = ""
    marks: tuple[Place, ...] = ()


@dataclass(frozen=True, slots=True)
class CorrectionTold:
    """What a whole text tells. `other_work`: what else was done to the vehicle in the same visit."""

    jobs: tuple[JobTold, ...] = ()
    other_work: tuple[str, ...] = ()

    @property
    def reflashes(self) -> tuple[JobTold, ...]:
        return tuple(one for one in self.jobs if one.kind is Kind.REFLASHED)
