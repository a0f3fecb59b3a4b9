"""What was programmed for a concern and in its vehicle: no candidates, yet forms and papers name them."""

from __future__ import annotations

from kb.advice.before_plan import already_installed
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.context import Desk, anyone_in_the_shop
from kb.vehicle.updates_on_file import UpdateOnFile


@anyone_in_the_shop
def programmed_for(desk: Desk, concern_id: int) -> tuple[UpdateOnFile, ...]:
    """Published updates that were programmed for a concern, however it ended, the last first."""
    return already_installed.programmed_for(read_concern(desk, concern_id), updates_desk.on_file(desk))


@anyone_in_the_shop
def programmed_before(desk: Desk, concern_id: int) -> tuple[UpdateOnFile, ...]:
    """Those of the concern, then those in its vehicle."""
    return already_installed.programmed_before(read_concern(desk, concern_id), updates_desk.on_file(desk))
