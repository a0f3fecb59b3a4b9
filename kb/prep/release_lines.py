"""The release list of a concern: from what was programmed, its bulletins and the codes found."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.on_file import Programmed
from kb.nouns.bay.release import (
    CAMERAS,
    RELEARN,
    RELEARN_SAID,
    RELEASED,
    Asks,
    Release,
    Released,
    ReleaseItem,
)
from kb.nouns.concerns import CodeStatus, ReflashResult
from kb.nouns.notes import Note
from kb.prep.id_after_programming import unlike_bulletin
from kb.prep.limits import Thing
from kb.prep.release import PERMANENT, cameras_open, holds_mileage, printed_cvn
from kb.vehicle.before_and_after import compared
from kb.vehicle.updates_on_file import UpdatesOnFile

# Common practice, no source; the manufacturer's instructions win.
_ALWAYS = (
    ReleaseItem("release-rescan", "All modules scanned again; nothing new and unexplained"),
    ReleaseItem("release-lamps", "Warning lamps out"),
    ReleaseItem("release-keys", "Every key works"),
)


def updates_programmed(file: ConcernFile) -> list[int]:
    """Ids of the notes that were programmed for the concern, whose printed lines the list is made of."""
    return list(dict.fromkeys(one.update_id for one in file.reflashes if one.update_id))


def release_of(
    file: ConcernFile,
    notes: Mapping[int, Note],
    updates: UpdatesOnFile,
    co_signs: Sequence[ReleaseItem] = (),
) -> Release:
    """The lines as they were answered; what was settled before the last programming is open again, save what
    is known of the cameras. `co_signs`: those of newcomers.
    """
    done, ticks = file.reflashes, {tick.item: tick for tick in file.ticks}
    last = max((one.recorded_at for one in done), default=None)
    since = {key: tick for key, tick in ticks.items() if last is None or tick.at >= last}
    cameras = ReleaseItem(CAMERAS, "Camera and radar calibration").answered(ticks.get(CAMERAS))
    gone = since.get(RELEASED)
    return Release(
        file.id,
        cameras,
        tuple(line.answered(since.get(line.key)) for line in (*_lines(file, notes, updates), *co_signs)),
        cameras_open(cameras.answer),
        begun=any(one.result is not ReflashResult.NOTHING_NEWER for one in done),
        installed=any(one.installed for one in done),
        released=Released(gone.by, gone.at, gone.passed_over, gone.said.get("open", "")) if gone else None,
    )


def _lines(file: ConcernFile, notes: Mapping[int, Note], updates: UpdatesOnFile) -> tuple[ReleaseItem, ...]:
    """Odometer, IDs and CVNs that are not as printed, relearns, permanent codes, and what is always asked."""
    last = {one.module: one for one in file.reflashes if one.installed}
    return (
        *_replaced(file),
        *_odometer(file),
        *_ids_to_look_up(file, last, updates),
        *_cvns(last, notes),
        *_relearns(notes, updates_programmed(file)),
        *_permanent_codes(file),
        _ids_changed(file),
        *_ALWAYS,
    )


def _replaced(file: ConcernFile) -> list[ReleaseItem]:
    """What a replaced module must show: the vehicle's VIN, its configuration, and that the customer knows."""
    if not file.has_fault("module_original"):
        return []
    vin = "The replaced module answers with this vehicle's VIN"
    setup = "Replaced module: configuration written, setup and relearns done as its procedure lists them"
    told = "The customer knows what was fitted (new, remanufactured or used), and the paper says it"
    return [
        ReleaseItem("release-replaced-vin", vin, asks=Asks.VIN, expected=file.vehicle.vin),
        ReleaseItem("release-replaced-setup", setup),
        ReleaseItem("release-replaced-told", told),
    ]


def _odometer(file: ConcernFile) -> list[ReleaseItem]:
    modules = dict.fromkeys(one.module for one in file.reflashes if holds_mileage(one.module))
    if not modules:
        return []
    before = next((one for one in file.ticks if one.item == Thing.ODOMETER.value), None)
    visit = "" if file.odometer is None else str(file.odometer)
    known = (before.measured if before else "") or visit
    text = f"Odometer after the work reads what it read before ({', '.join(modules)} may hold it)"
    return [ReleaseItem("release-odometer", text, asks=Asks.ODOMETER, expected=known)]


def _ids_to_look_up(
    file: ConcernFile, last: Mapping[str, Programmed], updates: UpdatesOnFile
) -> list[ReleaseItem]:
    """A line for each module whose last installed ID is not the one of its bulletin."""
    found = []
    for one in last.values():
        ids = (one.calibration_before, one.calibration_after)
        unlike = unlike_bulletin(file, updates, one.module, one.update_id, *ids)
        if unlike:
            text = f"{unlike.sentence} Looked up by VIN: it is right for this vehicle"
            found.append(ReleaseItem(f"release-id-{one.reflash_id}", text))
    return found


def _cvns(last: Mapping[str, Programmed], notes: Mapping[int, Note]) -> list[ReleaseItem]:
    """A line for each module whose bulletin prints the CVN of its ID, unless that is what was read."""
    found = []
    for one in last.values():
        note = notes.get(one.update_id or 0)
        printed = printed_cvn(_texts(note), one.calibration_after) if note else ""
        if printed and one.cvn_after.strip().upper() != printed:
            read = one.cvn_after or "not written down"
            text = f"{one.module} {one.calibration_after}: CVN after {read}; the manufacturer's is {printed}"
            found.append(ReleaseItem(f"release-cvn-{one.reflash_id}", text, asks=Asks.CVN, expected=printed))
    return found


def _texts(note: Note) -> str:
    content = note.content
    return "\n".join(
        (content.body, *content.precautions, *content.exact_entries, *(one.text for one in content.documents))
    )


def _ids_changed(file: ConcernFile) -> ReleaseItem:
    """With what the readings of each module come to, so that nobody compares by eye."""
    text = "Calibration ID and CVN have changed, and are written down"
    known = tuple(f"{one.module}: {one.words}" for one in compared(file))
    return ReleaseItem("release-ids", text, known=known)


def _relearns(notes: Mapping[int, Note], ids: Sequence[int]) -> list[ReleaseItem]:
    return [
        ReleaseItem(f"{RELEARN}{note_id}-{n}", f"{RELEARN_SAID}{text}")
        for note_id in ids
        if note_id in notes
        for n, text in enumerate(notes[note_id].content.relearns, start=1)
    ]


def _permanent_codes(file: ConcernFile) -> list[ReleaseItem]:
    permanent = [one.code for one in file.codes if one.status is CodeStatus.PERMANENT]
    if not permanent:
        return []
    text = f"Customer told of {', '.join(permanent)}. {PERMANENT}"
    return [ReleaseItem("release-permanent", text)]
