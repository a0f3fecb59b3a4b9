"""What is settled before a vehicle leaves: camera and radar calibration, relearns, rescan, lamps, keys."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from kb.desk import concerns as concerns_desk
from kb.desk.context import Desk, anyone_in_the_shop
from kb.desk.programming_ids import unlike_bulletin
from kb.errors import BadInput, NotFound
from kb.nouns.concerns import ReflashResult
from kb.records.store import case as store
from kb.records.store import notes as note_store
from kb.records.store import outcomes as outcome_store

CAMERAS = "release-cameras"
CAMERA_ANSWERS = ("required", "not required", "unknown")

# Common practice, no source; the manufacturer's instructions win.
_ALWAYS = (
    ("release-ids", "Calibration ID and CVN have changed, and are written down"),
    ("release-rescan", "All modules scanned again; nothing new and unexplained"),
    ("release-lamps", "Warning lamps out"),
    ("release-keys", "Every key works"),
)


@dataclass(frozen=True, slots=True)
class ReleaseItem:
    """One line; `answer` is a tick, or what is known of the cameras; empty `by` means open."""

    key: str
    text: str
    answer: str = ""
    by: str = ""
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Release:
    """`cameras` is apart: required, not required or unknown, and unknown is not settled.

    `begun` and `installed`: whether any programming was begun for the concern, and whether any went in.
    """

    cameras: ReleaseItem
    items: tuple[ReleaseItem, ...]
    begun: bool = True
    installed: bool = True

    @property
    def open_lines(self) -> tuple[str, ...]:
        """What is not settled, in words."""
        known = self.cameras.answer in CAMERA_ANSWERS[:2]
        cameras = () if known else ("Camera and radar calibration: look it up before release",)
        return (*cameras, *(item.text for item in self.items if not item.by))


@anyone_in_the_shop
def release_list(desk: Desk, concern_id: int) -> Release:
    """The lines of a concern: relearns that the bulletins of its reflashes list, IDs that are not theirs."""
    concerns_desk.on_file(desk, concern_id)
    ticks = {tick.item: tick for tick in store.prep_ticks(desk.session, concern_id)}

    def item(key: str, text: str) -> ReleaseItem:
        tick = ticks.get(key)
        return ReleaseItem(key, text, tick.measured, tick.by, tick.at) if tick else ReleaseItem(key, text)

    done = outcome_store.outcomes_of_concern(desk.session, concern_id)
    begun = any(one.result != ReflashResult.NOTHING_NEWER.value for _, one, _ in done)
    lines = (*_ids_to_look_up(desk, concern_id), *_relearns(desk, concern_id), *_ALWAYS)
    return Release(
        item(CAMERAS, "Camera and radar calibration"),
        tuple(item(*line) for line in lines),
        begun=begun,
        installed=any(outcome.installed for outcome, *_ in done),
    )


@anyone_in_the_shop
def settle_release(desk: Desk, concern_id: int, key: str, answer: str) -> None:
    """Save one line by name; an empty answer opens it again.

    Raises BadInput for what is no answer, and where no programming was begun for the concern.
    """
    listed = release_list(desk, concern_id)
    known = {CAMERAS, *(item.key for item in listed.items)}
    if key not in known:
        raise NotFound(f"There is no line {key!r} before release.")
    if answer and not listed.begun:
        raise BadInput("No programming is on record for this concern: there is nothing to settle yet.")
    if key == CAMERAS and answer not in (*CAMERA_ANSWERS, ""):
        raise BadInput("Camera and radar calibration is required, not required or unknown.")
    if not answer:
        store.clear_tick(desk.session, concern_id, key)
    else:
        kept = answer if key == CAMERAS else "done"
        by, now = desk.actor.name, desk.now
        store.put_tick(desk.session, concern_id, item=key, measured=kept, passed_over="", by=by, at=now)
    desk.note_down("before release", "concern", concern_id, item=key, answer=answer)


def _ids_to_look_up(desk: Desk, concern_id: int) -> list[tuple[str, str]]:
    """A line for each module whose last installed ID is not the one of its bulletin."""
    held = concerns_desk.on_file(desk, concern_id)
    done = outcome_store.outcomes_of_concern(desk.session, concern_id)
    last = {reflash.module: reflash for outcome, reflash, _ in done if outcome.installed}
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
        (f"release-id-{reflash_id}", f"{unlike.sentence} Looked up by VIN: it is right for this vehicle")
        for reflash_id, unlike in found
        if unlike
    ]


def _relearns(desk: Desk, concern_id: int) -> list[tuple[str, str]]:
    done = outcome_store.outcomes_of_concern(desk.session, concern_id)
    ids = list(dict.fromkeys(outcome.update_id for outcome, *_ in done if outcome.update_id))
    notes = note_store.notes_with_ids(desk.session, desk.shop.id, ids)
    return [
        (f"release-relearn-{note_id}-{n}", f"Relearn: {text}")
        for note_id in ids
        if note_id in notes
        for n, text in enumerate(notes[note_id].content.relearns, start=1)
    ]
