"""Calibration IDs that were read of a photo, beside those on file: what stands there so is sure."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.seen.reading_scans import SeenValue, SeenValues
from kb.desk.context import Desk, anyone_in_the_shop
from kb.intake.scan.found import Seen
from kb.intake.scan.look_alikes import places_apart

_IDS = (Seen.CALIBRATION_ID, Seen.NEWEST_ID)


@anyone_in_the_shop
def settled_by_file(desk: Desk, seen: SeenValues) -> SeenValues:
    """The same; no letter is in doubt of an ID that a note prints so, unless another one on file differs in
    nothing but the letters in doubt.
    """
    if not any(one.field in _IDS and one.doubtful for one in seen.proposals):
        return seen
    steps = (step for update in updates_desk.on_file(desk).by_id.values() for step in update.steps)
    on_file = {one.upper() for step in steps for one in (*step.old_ids, step.new_id)}
    return replace(seen, proposals=tuple(_settled(one, on_file) for one in seen.proposals))


def _settled(one: SeenValue, on_file: Collection[str]) -> SeenValue:
    if one.field not in _IDS or not one.doubtful or one.value.upper() not in on_file:
        return one
    twins = [other for other in on_file if _differs_in_doubt_alone(one, other)]
    return one if twins else replace(one, doubtful=())


def _differs_in_doubt_alone(one: SeenValue, other: str) -> bool:
    if len(one.value) != len(other):
        return False
    off = places_apart(one.value.upper(), other)
    return bool(off) and set(off) <= set(one.doubtful)
