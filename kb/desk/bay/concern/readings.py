"""What is read of a vehicle, added to what was read before: nothing is written over."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from kb.desk.context import Desk
from kb.errors import BadInput
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.readings import Readout, last_scan, scanned
from kb.nouns.concerns import CodesScanned, ConcernDraft, ReportedCode
from kb.nouns.read_values import ReadKind, ReadValue, values_of
from kb.nouns.vehicles import Moment
from kb.records.store.bay import readings as store
from kb.vehicle.before_and_after import event_of, moment_of
from kb.vehicle.codes import parse_code

_LONGEST = 64
"""Characters of a module's name, an ID, a CVN or a part number, whichever way it came."""
_SHORT = {ReadKind.CALIBRATION_ID, ReadKind.CVN, ReadKind.HARDWARE_NUMBER, ReadKind.SOFTWARE_NUMBER}


def keep(desk: Desk, concern_id: int, readouts: Iterable[Readout]) -> None:
    """Add what was read to what was read before. Raises BadInput for a number longer than any is."""
    readouts = list(readouts)
    for value in (one for readout in readouts for one in readout.values):
        if len(value.module) > _LONGEST or (value.kind in _SHORT and len(value.value) > _LONGEST):
            raise BadInput(
                f"The name of a module, an ID or a number has at most {_LONGEST} characters: "
                f"{value.module} {value.value[:80]}.",
                fields={value.kind.value: "too long"},
            )
    store.add_readouts(desk.session, desk.stamp(), [(concern_id, one) for one in readouts])


def taken_now(
    desk: Desk, file: ConcernFile, values: Sequence[ReadValue], moment: Moment = Moment.UNKNOWN
) -> Readout:
    """A readout of now; whoever says no moment gets the one that the work is at."""
    module = next((one.module for one in values if one.module), "")
    at = moment_of(file, module) if moment is Moment.UNKNOWN else moment
    return Readout(tuple(values), desk.now, at, event_of(file, module) if at is Moment.AFTER else None)


def keep_of_opening(desk: Desk, concern_id: int, draft: ConcernDraft) -> None:
    """What a new concern was opened with, as one readout of before."""
    read = values_of(*(one for one in draft.calibrations if one.calibration_id.strip()))
    was_scanned = draft.codes_scanned is not CodesScanned.NOT_SCANNED
    scan = scanned(draft.codes, draft.codes_scanned) if was_scanned else ()
    keep(desk, concern_id, [Readout((*scan, *read, *draft.read), desk.now, Moment.BEFORE)])


def as_written(codes: Iterable[ReportedCode]) -> tuple[ReportedCode, ...]:
    """The same codes as the standard writes them. Raises BadInput for one that is none."""
    return tuple(replace(one, code=str(parse_code(one.code))) for one in codes)


def as_scanned(file: ConcernFile, codes: Iterable[ReportedCode]) -> tuple[ReportedCode, ...]:
    """Codes as typed, each with the module and state that it was scanned with."""
    known = {one.code: one for one in file.codes}
    return tuple(known.get(one.code, one) if one == ReportedCode(one.code) else one for one in codes)


def keep_corrected_codes(desk: Desk, file: ConcernFile, draft: ConcernDraft) -> None:
    """Codes that a correction of the concern changes; the file is as it was before."""
    if (draft.codes, draft.codes_scanned) != (file.codes, file.codes_scanned):
        scan = taken_now(desk, file, scanned(draft.codes, draft.codes_scanned))
        keep(desk, file.id, (*scan_before(file), scan))


def scan_before(file: ConcernFile) -> tuple[Readout, ...]:
    """The codes of a concern that was opened, or brought in, before scans were kept; else nothing."""
    if last_scan(file.read) or not file.codes:
        return ()
    stood = scanned(file.codes, file.codes_scanned)
    return (Readout(stood, file.opened_at, Moment.UNKNOWN, by=file.opened_by),)
