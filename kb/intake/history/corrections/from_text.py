"""Between a history row and what its correction text tells."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from kb.intake.history.corrections.corrections import read_correction
from kb.intake.history.history_row import HistoryRow
from kb.nouns.concerns import RoadTest
from kb.nouns.history.corrections import JobTold, Kind, Place


@dataclass(frozen=True, slots=True)
class RowRead:
    """What the text of a row tells: reflashes to be proposed, one for each update; else the kind of the rest.

    A text that tells something not plain is unsure, whatever else it tells: somebody looks at it. `marks` are
    the places of the words that speak of programming.
    """

    reflashes: tuple[JobTold, ...]
    other_work: tuple[str, ...]
    other: Kind | None
    marks: tuple[Place, ...] = ()


def read_row_text(row: HistoryRow) -> RowRead:
    """Of a row that names no reflash itself. Modules of one text and update are one try: the first stands."""
    told = read_correction(row.work_done)
    of_updates: dict[str, JobTold] = {}
    for job in told.reflashes:
        of_updates.setdefault(job.update, job)
    kinds = [job.kind for job in told.jobs]
    rest = Kind.UNSURE if Kind.UNSURE in kinds else next(iter(kinds), None)
    other = None if of_updates else rest
    marks = tuple(mark for job in told.jobs for mark in job.marks)
    return RowRead(tuple(of_updates.values()), told.other_work, other, marks)


def as_reflashed(
    row: HistoryRow,
    on: date,
    *,
    update: str,
    module: str,
    calibrations: tuple[str, str],
    road_test: RoadTest | None,
    other_work: tuple[str, ...],
) -> HistoryRow:
    """The row as if it had named its reflash itself; what its own columns say stands."""
    before, after = calibrations
    return replace(
        row,
        update=update,
        module=module or row.module,
        calibration_before=row.calibration_before or before,
        calibration_after=row.calibration_after or after,
        reflashed_on=on,
        worked_on=None,
        gone_at_road_test=road_test,
        other_work=row.other_work or other_work,
    )
