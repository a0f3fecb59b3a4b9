"""The lines of a release list, gathered from what was programmed, its bulletins and the codes found."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from kb.desk.bay.programming.programming_ids import unlike_bulletin
from kb.desk.bay.programming.release_views import ReleaseItem
from kb.desk.context import Desk
from kb.nouns.concerns import CodeStatus
from kb.nouns.notes import Note
from kb.prep.limits import Thing
from kb.prep.release import PERMANENT, Asks, holds_mileage, printed_cvn
from kb.records.store.bay import concerns as concern_store
from kb.records.store.bay.concerns import ConcernOnFile
from kb.records.store.notes import notes as note_store
from kb.records.tables import Outcome, PrepTick, ProgrammingEvent, Reflash

Done = Sequence[tuple[Outcome, Reflash, ProgrammingEvent]]

# Common practice, no source; the manufacturer's instructions win.
_ALWAYS = (
    ReleaseItem("release-ids", "Calibration ID and CVN have changed, and are written down"),
    ReleaseItem("release-rescan", "All modules scanned again; nothing new and unexplained"),
    ReleaseItem("release-lamps", "Warning lamps out"),
    ReleaseItem("release-keys", "Every key works"),
)


def lines_of(
    desk: Desk, held: ConcernOnFile, done: Done, ticks: Mapping[str, PrepTick]
) -> tuple[ReleaseItem, ...]:
    """Odometer, IDs and CVNs that are not as printed, relearns, permanent codes, and what is always asked."""
    last = {reflash.module: reflash for outcome, reflash, _ in done if outcome.installed}
    ids = list(dict.fromkeys(outcome.update_id for outcome, *_ in done if outcome.update_id))
    notes = note_store.notes_with_ids(desk.session, desk.shop.id, ids)
    return (
        *_odometer(held, done, ticks),
        *_ids_to_look_up(desk, held, last),
        *_cvns(last, notes),
        *_relearns(notes, ids),
        *_permanent_codes(desk, held),
        *_ALWAYS,
    )


def _odometer(held: ConcernOnFile, done: Done, ticks: Mapping[str, PrepTick]) -> list[ReleaseItem]:
    modules = dict.fromkeys(reflash.module for _, reflash, _ in done if holds_mileage(reflash.module))
    if not modules:
        return []
    before = ticks.get(Thing.ODOMETER.value)
    known = before.measured if before else str(held.repair_order.odometer or "")
    text = f"Odometer after the work reads what it read before ({', '.join(modules)} may hold it)"
    return [ReleaseItem("release-odometer", text, asks=Asks.ODOMETER, expected=known)]


def _ids_to_look_up(desk: Desk, held: ConcernOnFile, last: Mapping[str, Reflash]) -> list[ReleaseItem]:
    """A line for each module whose last installed ID is not the one of its bulletin."""
    found = [
        (
            one.id,
            unlike_bulletin(
                desk, held, one.module, one.update_id, one.calibration_before, one.calibration_after
            ),
        )
        for one in last.values()
    ]
    return [
        ReleaseItem(
            f"release-id-{reflash_id}",
            f"{unlike.sentence} Looked up by VIN: it is right for this vehicle",
        )
        for reflash_id, unlike in found
        if unlike
    ]


def _cvns(last: Mapping[str, Reflash], notes: Mapping[int, Note]) -> list[ReleaseItem]:
    """A line for each module whose bulletin prints the CVN of its ID, unless that is what was read."""
    found = []
    for one in last.values():
        note = notes.get(one.update_id or 0)
        printed = printed_cvn(_texts(note), one.calibration_after) if note else ""
        if printed and one.cvn_after.strip().upper() != printed:
            read = one.cvn_after or "not written down"
            text = f"{one.module} {one.calibration_after}: CVN after {read}; the manufacturer's is {printed}"
            found.append(ReleaseItem(f"release-cvn-{one.id}", text, asks=Asks.CVN, expected=printed))
    return found


def _texts(note: Note) -> str:
    content = note.content
    return "\n".join(
        (content.body, *content.precautions, *content.exact_entries, *(one.text for one in content.documents))
    )


def _relearns(notes: Mapping[int, Note], ids: Sequence[int]) -> list[ReleaseItem]:
    return [
        ReleaseItem(f"release-relearn-{note_id}-{n}", f"Relearn: {text}")
        for note_id in ids
        if note_id in notes
        for n, text in enumerate(notes[note_id].content.relearns, start=1)
    ]


def _permanent_codes(desk: Desk, held: ConcernOnFile) -> list[ReleaseItem]:
    codes = concern_store.codes(desk.session, held.concern.id or 0)
    permanent = [one.code for one in codes if one.status == CodeStatus.PERMANENT]
    if not permanent:
        return []
    text = f"Customer told of {', '.join(permanent)}. {PERMANENT}"
    return [ReleaseItem("release-permanent", text)]
