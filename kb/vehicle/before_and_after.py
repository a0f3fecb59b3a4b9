"""What modules showed before and after programming: whether IDs and CVNs changed, said once.

A CVN is worked out by the module over its own memory (SAE J1979, infotypes 04 and 06 go in pairs): another
calibration with the CVN of the old one was not worked out anew yet, and the same calibration with another
CVN is not what the manufacturer released. From memory; the manufacturer's instructions decide.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import StrEnum

from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.on_file import Programmed
from kb.nouns.bay.readings import Compared
from kb.nouns.concerns import INSTALLED, ReflashResult
from kb.nouns.read_values import ReadKind
from kb.nouns.vehicles import CalibrationId, CalibrationReading, CalibrationSource, Moment, fold_id


class Change(StrEnum):
    """What IDs and CVNs say of a module that was programmed."""

    CHANGED = "ID changed, CVN changed"
    SAME_CVN = "ID changed, CVN unchanged: read again after a key cycle"
    OTHER_CVN = "same ID, other CVN: look closer"
    UNCHANGED = "ID unchanged, CVN unchanged: read again after a key cycle"
    NOT_READABLE = "not readable: not proven"


def moment_of(file: ConcernFile, module: str = "") -> Moment:
    """At which moment of the work what is read now is read: after, once the module was programmed for it."""
    return Moment.BEFORE if event_of(file, module) is None else Moment.AFTER


def event_of(file: ConcernFile, module: str = "") -> int | None:
    """The last programming of a module, or of any, for the concern; None where none was begun."""
    begun = [
        one.event_id
        for one in file.reflashes
        if one.result is not ReflashResult.NOTHING_NEWER and fold_id(module) in ("", fold_id(one.module))
    ]
    return begun[-1] if begun else None


def compared(file: ConcernFile) -> tuple[Compared, ...]:
    """Each module that something was installed in for the concern, by its last programming."""
    last = {fold_id(one.module): one for one in file.reflashes if one.result in INSTALLED}
    return tuple(_compared(file, one) for one in last.values())


def compare(module: str, before: Iterable[CalibrationId], after: Iterable[CalibrationId]) -> Compared:
    """What the IDs and CVNs of a module come to.

    | IDs                   | CVNs                            | come to                      |
    |-----------------------|---------------------------------|------------------------------|
    | one before and after  | of that one another than before | same ID, other CVN           |
    | another one after     | none of the old ones            | changed                      |
    | another one after     | an old one                      | CVN unchanged                |
    | the same              | the same                        | unchanged                    |
    | not read, either side | or not read of what counts      | not proven                   |
    """
    words = _words(_pairs(before), _pairs(after))
    return Compared(module, tuple(before), tuple(after), words, words == Change.CHANGED)


def _words(old: Mapping[str, str], new: Mapping[str, str]) -> str:
    come, left = [one for one in new if one not in old], [one for one in old if one not in new]
    if not old or not new:
        return f"ID {'after' if old else 'before'} not read: not proven"
    if any(old[one] and new[one] and old[one] != new[one] for one in old if one in new):
        return Change.OTHER_CVN
    changed = "changed" if come else "unchanged"
    for when, cvns in (
        ("after", [new[one] for one in come or new]),
        ("before", [old[one] for one in left or old]),
    ):
        if not all(cvns):
            return f"ID {changed}, CVN {when} not read: not proven"
    if not come:
        return Change.UNCHANGED
    kept = {new[one] for one in come} & {old[one] for one in left}
    return Change.SAME_CVN if kept else Change.CHANGED


def _compared(file: ConcernFile, done: Programmed) -> Compared:
    mine = [
        one
        for one in file.readings
        if fold_id(one.module) == fold_id(done.module) and one.source is not CalibrationSource.RECORDS
    ]
    told_before = CalibrationId(done.calibration_before, done.cvn_before)
    told_after = CalibrationId(done.calibration_after, done.cvn_after)
    before = _shown(told_before, [one for one in mine if _is_before(one, done)])
    after = _shown(told_after, [one for one in mine if not _is_before(one, done)])
    if _fell_silent(file, done):
        return Compared(done.module, before, (), Change.NOT_READABLE, proven=False)
    return compare(done.module, _of_what_was_read_again(before, after, told_before), after)


def _of_what_was_read_again(
    before: tuple[CalibrationId, ...], after: tuple[CalibrationId, ...], told: CalibrationId
) -> tuple[CalibrationId, ...]:
    """Where one of several IDs was read again alone, the one that it replaced, as the event tells."""
    replaced = [one for one in before if fold_id(one.calibration_id) == fold_id(told.calibration_id)]
    if len(after) >= len(before) or not replaced:
        return before
    again = {fold_id(one.calibration_id) for one in after}
    return tuple(one for one in before if one in replaced or fold_id(one.calibration_id) in again)


def _shown(told: CalibrationId, read: list[CalibrationReading]) -> tuple[CalibrationId, ...]:
    """What the last reading shows that has the ID of the programming event, else that ID; what the last one
    shows where the event tells none.
    """
    if not fold_id(told.calibration_id):
        return read[-1].ids if read else ()
    for one in reversed(read):
        same = [it for it in one.ids if fold_id(it.calibration_id) == fold_id(told.calibration_id)]
        if same:
            return tuple(told if it is same[0] and not it.cvn else it for it in one.ids)
    return (told,)


def _is_before(one: CalibrationReading, done: Programmed) -> bool:
    if one.moment is Moment.BEFORE:
        return True
    if one.moment is Moment.AFTER:
        return one.event_id not in (None, done.event_id)
    return one.read_at is None or one.read_at < done.recorded_at


def _fell_silent(file: ConcernFile, done: Programmed) -> bool:
    """Whether the last that the module gave after it was nothing."""
    since = [
        one
        for one in file.read
        if one.struck_at is None
        and fold_id(one.module) == fold_id(done.module)
        and one.moment is Moment.AFTER
        and one.kind in (ReadKind.NOT_READABLE, ReadKind.CALIBRATION_ID)
    ]
    return bool(since) and since[-1].kind is ReadKind.NOT_READABLE


def _pairs(shown: Iterable[CalibrationId]) -> Mapping[str, str]:
    """CVN by ID, both as compared; an empty ID is none."""
    return {
        fold_id(one.calibration_id): fold_id(one.cvn).removeprefix("0X")
        for one in shown
        if fold_id(one.calibration_id)
    }
