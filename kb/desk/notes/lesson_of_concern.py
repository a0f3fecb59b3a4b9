"""The lesson that a concern teaches, begun with its file: complaint, vehicle, codes, found, done, cured."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from kb.desk.bay.concern.as_it_stands import how_it_stands
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.concern.findings_shown import FindingView, list_findings
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.on_file import Programmed
from kb.nouns.concerns import Duplicated, Ending, FindingResult, RoadTest
from kb.nouns.notes import CodeKind, NoteCode, NoteDraft, NoteKind, NoteState
from kb.nouns.recorded_words import result_word
from kb.nouns.vehicles import Coverage, CoverageLine, Vehicle

LONGEST_TITLE = 120
_ENDED = {
    Ending.SENT_TO_DEALER.value: "Sent to the dealer.",
    Ending.NOT_RESOLVED.value: "Not resolved.",
}
_SEEN = {
    "before": {
        Duplicated.YES.value: "duplicated before",
        Duplicated.NO.value: "could not duplicate before",
        Duplicated.NOT_TRIED.value: "not tried before",
    },
    "after": {
        RoadTest.GONE.value: "gone at road test",
        RoadTest.STILL_THERE.value: "still there at road test",
        RoadTest.CANNOT_SAY.value: "the road test cannot say",
        RoadTest.NOT_DONE.value: "no road test yet",
    },
}


@anyone_in_the_shop
def lesson_of(desk: Desk, concern_id: int) -> NoteDraft:
    """A draft to go on writing from; nothing is saved. Raises NotFound."""
    file = read_concern(desk, concern_id)
    return drafted(file, list_findings(desk, concern_id), how_it_stands(desk, concern_id).counted)


def drafted(file: ConcernFile, findings: Sequence[FindingView], counted: str) -> NoteDraft:
    """The lesson as its file tells it; `counted` is what the concern counts as today. No VIN, no phone."""
    parts = (
        ("Found", [_found(one) for one in findings if one.result in (FindingResult.YES, FindingResult.NO)]),
        ("Done", [_done(one) for one in file.reflashes]),
        ("Came of it", [_ended(file, counted)]),
    )
    body = (f"{name}: {'; '.join(said)}" for name, said in parts if any(said))
    return NoteDraft(
        kind=NoteKind.LESSON,
        title=_title(file),
        symptom="\n".join(filter(None, (file.complaint, file.technician_words))),
        conditions=", ".join(file.conditions),
        codes=_codes(one.code for one in file.codes),
        coverage=_coverage(file.vehicle),
        body="\n".join((*body, f"From {file.ref}.")),
        state=NoteState.DRAFT,
    )


def _title(file: ConcernFile) -> str:
    """What it did and what it was, cut between two words."""
    did = " ".join(file.complaint.split())
    was = file.other_cause or _cured_by(file)
    room = LONGEST_TITLE - len(was) - 2 if was else LONGEST_TITLE
    kept = did if len(did) <= room else did[: max(room, 1) + 1].rsplit(" ", 1)[0]
    return f"{kept}: {was}" if was else kept


def _cured_by(file: ConcernFile) -> str:
    if file.ending != Ending.CURED_BY_REFLASH.value:
        return ""
    named = [one.update_number for one in file.reflashes if one.update_id == file.cured_by_note_id]
    return f"reflashed with {named[-1]}" if named and named[-1] else "reflashed"


def _codes(codes: Iterable[str]) -> tuple[NoteCode, ...]:
    """Codes of one vehicle define nothing yet."""
    return tuple(NoteCode(code, CodeKind.MAY_BE_STORED) for code in dict.fromkeys(codes))


def _coverage(vehicle: Vehicle) -> Coverage:
    years = ((vehicle.year, vehicle.year),) if vehicle.year else ()
    return (CoverageLine(vehicle.make, vehicle.model, years, vehicle.engine),) if vehicle.make else ()


def _found(one: FindingView) -> str:
    return f"{one.name}: {result_word(one, one.result)}{f' ({one.value})' if one.value else ''}"


def _done(one: Programmed) -> str:
    ids = f" {one.calibration_before or '?'} to {one.calibration_after}" if one.calibration_after else ""
    by = f" with {one.update_number}" if one.update_number else ""
    work = f", also done: {', '.join(one.other_work)}" if one.other_work else ""
    seen = (_SEEN["before"].get(one.duplicated_before, ""), _SEEN["after"].get(one.road_test, ""))
    return ", ".join(filter(None, (f"{one.module}{ids}{by}", *seen))) + work


def _ended(file: ConcernFile, counted: str) -> str:
    if file.other_cause:
        return f"The cause was {file.other_cause}{'; the reflash did not cure it' if file.reflashes else ''}."
    if counted:
        return f"{counted[:1].upper()}{counted[1:]}."
    return _ENDED.get(file.ending, "")
