"""Bodies about what is settled before a vehicle leaves."""

from __future__ import annotations

from datetime import datetime

from api.schemas.base import In, Out, Text, Whole, Word
from kb.nouns.bay.release import Release, ReleaseItem


class ReleasedOut(Out):
    """Who let it go; with lines open then, the reason, and that the customer was told."""

    by: str
    at: datetime
    reason: str
    open_then: str
    customer_told: bool


class ReleaseOut(Out):
    """`cameras.answer`: not_required and required_done settle it; required_not_done, unknown, empty do not.

    `open`: what is not settled, in words. The manufacturer and the law decide.
    """

    concern_id: int
    begun: bool
    installed: bool
    cameras: ReleaseItem
    items: list[ReleaseItem]
    open: list[str]
    released: ReleasedOut | None


class SettleBody(In):
    """An answer with what goes with it.

    Cameras: `answer` not_required with `source`; required_done with `how` (static, drive, static and drive),
    `done_by` and `proof`; required_not_done; unknown. Odometer: `before`, `after`, and `label` where the door
    label says the mileage. CVN: `cvn` as read again. VIN of a replaced module: `vin`. Any other line: "done".
    """

    answer: Word = "done"
    source: Text = ""
    how: Word = ""
    done_by: Word = ""
    proof: Text = ""
    before: Whole | None = None
    after: Whole | None = None
    label: Text = ""
    cvn: Word = ""
    vin: Word = ""

    def said(self) -> dict[str, str]:
        told = self.model_dump(exclude={"answer"}, exclude_none=True)
        return {name: str(value) for name, value in told.items()}


class ReleaseBody(In):
    """With lines open: why it leaves so, and that the customer was told; under the caller's name."""

    reason: Text = ""
    customer_told: bool = False


def release_out(found: Release) -> ReleaseOut:
    """The list as the interface says it."""
    return ReleaseOut.of(found, open=found.open_lines)
