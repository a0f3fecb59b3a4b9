"""One row of the shop's history as a frozen value."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from kb.nouns.concerns import Duplicated, FollowUpResult, HowHeard, RoadTest
from kb.nouns.shop.ways import Way


@dataclass(frozen=True, slots=True)
class HistoryRow:
    """One concern and one update of the shop's history; empty text or None means not known.

    `file_line` is the line of the file, `line` the letter of the repair order's line. `event` is the name of
    the programming event; where the column held a word for what came of the reflash, that is `came_of_it` and
    `event` is empty. `came_back`: it is said that it came back, on `returned_on` if that is known. `cost` is
    money the shop bore, in its own currency. `heard`: whether somebody had to ask for the answer. `way`: who
    did it; None is not told, and counts as here.
    `other_work` says what else was done in the visit, `work_done` in the shop's own words what was done at
    all: it is kept with the row and counts nothing by itself. Where it stands and nothing else of a reflash
    does, the day of the reflash is only the day of the work, `worked_on`: a column of closing days would make
    a reflash of every oil change.
    """

    file_line: int
    ro_number: str
    line: str = ""
    opened_on: date | None = None
    vin: str = ""
    make: str = ""
    model: str = ""
    year: int | None = None
    engine: str = ""
    odometer: int | None = None
    complaint: str = ""
    codes: tuple[str, ...] = ()
    module: str = ""
    calibration_before: str = ""
    calibration_after: str = ""
    update: str = ""
    event: str = ""
    came_of_it: FollowUpResult | None = None
    reflashed_on: date | None = None
    duplicated_before: Duplicated = Duplicated.YES
    gone_at_road_test: RoadTest | None = None
    other_work: tuple[str, ...] = ()
    returned_on: date | None = None
    came_back: bool = False
    last_seen_on: date | None = None
    other_cause: str = ""
    heard: HowHeard = HowHeard.NOT_SAID
    way: Way | None = None
    cost: Decimal | None = None
    work_done: str = ""
    worked_on: date | None = None

    @property
    def is_told_by_text_alone(self) -> bool:
        """Whether it was reflashed stands, if anywhere, in what the technician wrote."""
        named = self.update or self.calibration_before or self.calibration_after
        return bool(self.work_done) and not named

    @property
    def done_on(self) -> date | None:
        """The day of the reflash or, where only the text may tell of one, of the work."""
        return self.reflashed_on or self.worked_on

    @property
    def returned(self) -> bool:
        """The same concern came back. A day beside another word of `came_of_it` is the day of that word."""
        told = self.came_back or self.came_of_it is FollowUpResult.CAME_BACK
        return told or (self.returned_on is not None and self.came_of_it in (None, FollowUpResult.FINE))

    @property
    def explained(self) -> bool:
        """Another cause was found."""
        return bool(self.other_cause) or self.came_of_it is FollowUpResult.OTHER_CAUSE

    @property
    def failed(self) -> bool:
        """It tells that the reflash did not cure the concern."""
        return self.returned or self.explained or self.gone_at_road_test is RoadTest.STILL_THERE

    @property
    def identity(self) -> str:
        """What the row is recognised by when the file is imported again; case and spacing fold."""
        day = self.reflashed_on.isoformat() if self.reflashed_on else ""
        parts = (self.ro_number, self.line, self.vin, self.complaint, self.update, day)
        return "\x1f".join(" ".join(part.split()).casefold() for part in parts)
