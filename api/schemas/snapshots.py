"""A snapshot of a car as it comes in, by a call or as a file."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, ValidationError

from api.schemas.base import In, MomentIn, Whole, Word
from api.schemas.concerns import CalibrationIdBody, CodeBody
from kb.errors import BadInput
from kb.nouns.bay.snapshot import Readiness
from kb.nouns.vehicles import Moment


class ModuleShownBody(In):
    """What one module showed: its calibration IDs, each with its CVN, in the order in which it shows them.

    `not_readable` says why it showed nothing.
    """

    module: Word
    calibrations: list[CalibrationIdBody] = Field(default_factory=list, max_length=20)
    hardware_number: Word = ""
    software_number: Word = ""
    not_readable: Word = ""


class SnapshotBody(In):
    """Everything that a scan tool read of a vehicle at one time.

    `taken_at` without a zone is the shop's time. `moment`: before, after or other; left out, what the work is
    at. `codes`: left out where nobody scanned, empty where none was stored. `readiness`: the state of each
    monitor, by its name. `odometer` in miles.
    """

    vin: Word
    taken_at: MomentIn
    moment: Moment = Moment.UNKNOWN
    modules: list[ModuleShownBody] = Field(default_factory=list, max_length=100)
    codes: Annotated[list[CodeBody], Field(max_length=500)] | None = None
    readiness: dict[Word, Readiness] = Field(default_factory=dict, max_length=50)
    voltage: Annotated[float, Field(ge=0, le=60)] | None = None
    odometer: Whole | None = None

    @classmethod
    def of_text(cls, text: str) -> Self:
        """A snapshot from the text of a file. Raises BadInput that says where it is not one."""
        try:
            return cls.model_validate_json(text)
        except ValidationError as refused:
            places = {".".join(map(str, one["loc"])): one["msg"] for one in refused.errors()}
        if "" in places:
            raise BadInput(
                "This is no snapshot: it is no JSON. The interface's description says how one is written.",
                fields={"snapshot": places[""]},
            )
        said = "; ".join(f"{place}: {what}" for place, what in list(places.items())[:5])
        raise BadInput(f"The snapshot cannot be taken as it stands: {said}.", fields={"snapshot": said})
