"""Bodies about concerns: what comes in."""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from api.schemas.base import Day, IdIn, In, Out, Text, Whole, Word
from kb.nouns.bay.clocks import ClockKind
from kb.nouns.bay.waiting import WaitingFor
from kb.nouns.concerns import (
    CodesScanned,
    CodeStatus,
    ConcernDraft,
    Duplicated,
    Ending,
    FindingResult,
    NumberIs,
    Overnight,
    RoadTest,
    SaidHere,
)
from kb.nouns.vehicles import CalibrationSource, Moment, Vehicle


class CodeBody(In):
    """A trouble code as scanned, such as P0171 or U0100-87."""

    code: Word
    module: Word = ""
    status: CodeStatus = CodeStatus.NOT_SAID


class CalibrationIdBody(In):
    calibration_id: Word
    cvn: Word = ""


class CalibrationBody(In):
    """The numbers of one module and where they came from; a typed ID must be confirmed to count as newest.

    `more`: further IDs of a module that holds several. `moment`: before, after or other; left out, what the
    work is at (after, once the module was programmed for the concern).
    """

    calibration_id: Word
    source: CalibrationSource = CalibrationSource.TYPED
    confirmed: bool = False
    cvn: Word = ""
    hardware_number: Word = ""
    software_number: Word = ""
    more: list[CalibrationIdBody] = Field(default_factory=list, max_length=20)
    moment: Moment = Moment.UNKNOWN


class ModuleCalibrationBody(CalibrationBody):
    module: Word


def _codes(said: Any) -> Any:
    """A text "P0171 P0300", a list of texts, and a list of objects say the same."""
    if isinstance(said, str):
        said = [part for part in re.split(r"[\s,;]+", said) if part]
    if isinstance(said, list):
        return [{"code": one} if isinstance(one, str) else one for one in said]
    return said


Codes = Annotated[list[CodeBody], BeforeValidator(_codes), Field(max_length=200)]


class ConcernBody(In):
    """One line of a repair order. A field left out is not known.

    `codes`: a list of codes, or a text with spaces between them. `usual_gap_days`: of an intermittent, the
    usual days between two happenings. `overnight`: if it cannot stay, the plan waits for
    nothing longer than four hours. `same_number`: only to answer a 409 that names another vehicle with this
    RO number: this_vehicle, or another_vehicle where both have it.
    """

    ro_number: Word
    complaint: Text
    line: Word = ""
    technician_words: Text = ""
    vin: Word = ""
    vin_confirmed: bool = False
    make: Word = ""
    model: Word = ""
    year: int | None = None
    engine: Word = ""
    built_on: Day | None = None
    odometer: Whole | None = None
    codes: Codes = Field(default_factory=list)
    codes_scanned: CodesScanned = CodesScanned.NOT_SCANNED
    calibrations: list[ModuleCalibrationBody] = Field(default_factory=list, max_length=100)
    conditions: list[Word] = Field(default_factory=list, max_length=50)
    frequency: Word = ""
    usual_gap_days: Annotated[int, Field(ge=1, le=3650)] | None = None
    started: Word = ""
    just_before: Word = ""
    overnight: Overnight = Overnight.NOT_ASKED
    phone: Word = ""
    opened_on: Day | None = None
    same_number: NumberIs = NumberIs.NOT_ASKED

    def draft(self) -> ConcernDraft:
        return self.as_value(ConcernDraft, vehicle=self.as_value(Vehicle))


class ConcernChange(ConcernBody):
    """RO number and line stay; `ro_number` may be left out."""

    ro_number: Word = ""
    version: int


class CodesBody(In):
    """What the scan said. None stored is not the same as not scanned.

    `codes`: a text with blanks between them, or a list that says the module and state of each.
    """

    codes: Text | Annotated[list[CodeBody], Field(max_length=200)] = ""
    codes_scanned: CodesScanned = CodesScanned.NONE_STORED


class FindingBody(In):
    """`result`; `not_done` takes it back. Or `value`, the number that a check with a unit measures.

    The number decides the result; one sent with it is taken only where it leaves it open. A text is a remark.
    """

    result: FindingResult | None = None
    value: float | Word = ""

    @property
    def said(self) -> tuple[FindingResult | None, str, float | None]:
        """Result, remark and number."""
        if isinstance(self.value, str):
            return self.result, self.value, None
        return self.result, "", self.value


class FindingSaid(Out):
    """What was written down: `value` as it was sent, and the `unit` of a number."""

    check: str
    result: FindingResult
    value: float | str
    unit: str = ""


class GateBody(In):
    """`fine`, `fault`, or empty to take it back; `value`: what was measured or seen."""

    result: Word
    value: Text = ""


class WaitingBody(In):
    """What an open concern waits for: soak, part, customer_ok or lead; `remark`: which part, until when."""

    waiting_for: WaitingFor
    remark: Word = ""


class LookUpBody(In):
    """The manufacturer's look-up by VIN: the newest ID there, or that nothing is newer."""

    looked_up_on: Day
    by: Word = ""
    newest_id: Word = ""
    nothing_newer: bool = False


class LiftBody(In):
    reason: Text


class DecisionBody(In):
    """What is done now; `why_not` where it is not what was advised."""

    did: Word
    why_not: Text = ""


class RoadTestBody(In):
    """`was`: what the caller saw on file; 409 where that is something else by now."""

    road_test: RoadTest
    duplicated_before: Duplicated | None = None
    was: RoadTest | None = None


class SaidHereBody(In):
    """What was said of an earlier reflash at this visit: still_fixed, came_back or not_asked; where the new
    complaint is about the same thing old_one, something_new or not_sure.
    """

    said: SaidHere


class CloseBody(In):
    """`cured_by`: the update's note id, if not that of the last reflash. `why_not`: why it was sent to the
    dealer; without it the month counts it as not said.
    """

    ending: Ending
    cured_by: IdIn | None = None
    other_cause: Text = ""
    explained_by: IdIn | None = None
    why_not: Text = ""


class NextBody(In):
    """One line: what is next, and who does it (a name, "next shift", or empty for whoever has time)."""

    what: Word
    who: Word = ""


class ClockBody(In):
    """A clock for so many minutes, or until a time of day such as "7:40 AM"; `relearn_miles` for so many
    miles from an odometer. What is left out is as usual for its kind.

    `ends_with`: key of the check whose result ends it.
    """

    kind: ClockKind
    minutes: Whole | None = None
    until: Word = ""
    miles: Whole | None = None
    odometer: Whole | None = None
    ends_with: Word = ""
    remark: Word = ""
