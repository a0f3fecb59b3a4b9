"""What was said of an earlier reflash when its vehicle came in again, written down with one tap."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from types import MappingProxyType

from kb.desk.bay.concern import readings
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.concern.impossible_answers import odometer_that_fits
from kb.desk.calls import what_was_heard
from kb.desk.calls.here_again import earlier_of, heard_since, said_at
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import Conflict, NotFound
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.readings import Readout
from kb.nouns.concerns import FollowUpDraft, FollowUpResult, HowHeard, SaidHere
from kb.nouns.outcomes import Heard
from kb.nouns.read_values import values_of
from kb.nouns.vehicles import Moment
from kb.vehicle.lineage import last_readings

HOW = "seen here"
RESULTS: Mapping[SaidHere, FollowUpResult] = MappingProxyType(
    {
        SaidHere.STILL_FIXED: FollowUpResult.FINE,
        SaidHere.CAME_BACK: FollowUpResult.CAME_BACK,
        SaidHere.NOT_ASKED: FollowUpResult.SEEN_NOT_ASKED,
        SaidHere.OLD_ONE: FollowUpResult.CAME_BACK,
        SaidHere.SOMETHING_NEW: FollowUpResult.NEW_COMPLAINT,
        SaidHere.NOT_SURE: FollowUpResult.NO_ANSWER,
    }
)
_HEARD: Mapping[SaidHere, HowHeard] = MappingProxyType(
    {
        SaidHere.STILL_FIXED: HowHeard.ASKED,
        SaidHere.CAME_BACK: HowHeard.ASKED,
        SaidHere.OLD_ONE: HowHeard.UNASKED,
    }
)
_GOES_ON: Mapping[FollowUpResult, Collection[SaidHere]] = MappingProxyType(
    {
        FollowUpResult.NO_ANSWER: tuple(SaidHere),
        FollowUpResult.NEW_COMPLAINT: (SaidHere.STILL_FIXED, SaidHere.CAME_BACK, SaidHere.NOT_ASKED),
    }
)
"""What may be said after an answer that settled nothing."""


@anyone_in_the_shop
def answer_here(desk: Desk, concern_id: int, earlier_id: int, said: SaidHere) -> int:
    """Write down what was said of an earlier concern at this visit; gives the follow-up's id.

    | said                   | is written down as                                                      |
    |------------------------|-------------------------------------------------------------------------|
    | "yes, the old one"     | a comeback of today, told unasked; calibrations pass to the new concern |
    | "came back", on asking | a comeback of a day that nobody knows until somebody says it            |
    | "not sure"             | nothing settled; the next answer puts it right                          |
    | the same answer again  | nothing more                                                            |

    Raises NotFound where nothing was reflashed for the earlier concern before, and Conflict where another
    answer was given at this visit meanwhile.
    """
    file = read_concern(desk, concern_id)
    if earlier_id not in earlier_of(file):
        raise NotFound(
            "Nothing was reflashed for that concern before this visit, so there is nothing to ask."
        )
    mine = said_at(heard_since(file, earlier_id), concern_id)
    draft = _draft(desk, file, earlier_id, said)
    again = next((one for one in mine if one.said.result is draft.result), None)
    if again is not None:
        return again.id
    _refuse_another_answer(mine, said)
    if said is SaidHere.OLD_ONE:
        _inherit(desk, earlier_id, concern_id)
    desk.note_down("asked first", "concern", concern_id, earlier=earlier_id, said=said.value)
    unsure = next((one for one in mine if one.said.result is FollowUpResult.NO_ANSWER), None)
    if unsure is not None:
        what_was_heard.correct_follow_up(desk, unsure.id, unsure.version, draft)
        return unsure.id
    return what_was_heard.record_follow_up(desk, earlier_id, draft, at_visit=concern_id)


def _draft(desk: Desk, file: ConcernFile, earlier_id: int, said: SaidHere) -> FollowUpDraft:
    """Of the day of the visit, with its odometer where somebody spoke of the concern and the reading fits."""
    day, spoken = file.opened_on, said in _HEARD
    miles = file.odometer if spoken else None
    return FollowUpDraft(
        RESULTS[said],
        day,
        odometer=None if miles is None else odometer_that_fits(desk, earlier_id, day, miles),
        how=HOW,
        day_known=said is not SaidHere.CAME_BACK,
        heard=_HEARD.get(said, HowHeard.NOT_SAID),
    )


def _refuse_another_answer(mine: Sequence[Heard], said: SaidHere) -> None:
    for one in mine:
        if said not in _GOES_ON.get(one.said.result, ()):
            raise Conflict(
                "Somebody gave another answer meanwhile. Look at it, and change it there if it is wrong.",
                details={
                    "theirs": one.said.result.value,
                    "by": one.by,
                    "follow_up": one.id,
                    "version": one.version,
                },
            )


def _inherit(desk: Desk, earlier_id: int, concern_id: int) -> None:
    """The new concern knows what is in the vehicle: each module's last reading, with who read it when."""
    own, last = (last_readings(read_concern(desk, one).readings) for one in (concern_id, earlier_id))
    passed_on = [
        Readout(values_of(one), one.read_at or desk.now, Moment.BEFORE, by=one.by)
        for module, one in last.items()
        if module not in own
    ]
    readings.keep(desk, concern_id, passed_on)
