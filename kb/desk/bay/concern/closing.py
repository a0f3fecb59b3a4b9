"""How a concern ended: closed with its answer, or opened again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.handover.waiting import refuse_while_out
from kb.desk.bay.outcomes.observed import renew_outcomes
from kb.desk.bay.programming.release import refuse_to_close_unreleased
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import BadInput, Conflict
from kb.nouns.bay.concern_file import ref_of
from kb.nouns.bay.on_file import PROGRAMMING_STARTED
from kb.nouns.concerns import Ending
from kb.nouns.notes import NoteKind
from kb.records.store.bay import case, writing
from kb.records.store.bay.concerns import ConcernRows
from kb.records.store.notes import notes as note_store
from kb.records.store.outcomes import outcomes as store
from kb.records.tables import Outcome

_NOTHING_INSTALLED = (
    "No completed programming is on record for this concern, so no update can have cured it. "
    "Record the programming event first; if it was done elsewhere or on an earlier day, record it with "
    "that day. If nothing was programmed, choose another ending."
)


@anyone_in_the_shop
def close_concern(
    desk: Desk,
    concern_id: int,
    ending: Ending,
    *,
    cured_by: int | None = None,
    other_cause: str = "",
    explained_by: int | None = None,
) -> None:
    """Close a concern with its answer. "Sent to the dealer" is a valid ending, not a failure.

    Another cause found after a reflash counts against that reflash from today on. A start of programming is
    over with it: opened again, the vehicle is looked at before it is programmed.

    | refused                                                         | as       |
    |-----------------------------------------------------------------|----------|
    | closed already with another answer, or out and not heard of     | Conflict |
    | cured by a reflash, without completed programming on record     | BadInput |
    | a camera calibration is open and nobody released the vehicle so | BadInput |
    | another cause, without a word on which                          | BadInput |
    """
    held = concerns_desk.on_file(desk, concern_id)
    row = held.concern
    if row.state == "closed":
        _refuse_another_answer(held, ending, cured_by, other_cause, explained_by)
        return
    refuse_while_out(row)
    refuse_to_close_unreleased(desk, concern_id)
    done = store.outcomes_of_concern(desk.session, concern_id)
    if ending is Ending.CURED_BY_REFLASH:
        cured_by = _cure(desk, done, cured_by)
    if ending is Ending.OTHER_CAUSE and not other_cause.strip():
        raise BadInput("Say what the cause was.", fields={"other_cause": "empty"})
    _refuse_unknown_notes(desk, {"cured_by": cured_by, "explained_by": explained_by})
    row.sqlmodel_update(writing.ended(ending, cured_by, other_cause, desk.today, desk.now))
    row.explained_by_note_id = explained_by
    case.clear_tick(desk.session, concern_id, PROGRAMMING_STARTED)
    row.version += 1
    row.changed_revision = desk.bump("concerns")
    if ending is Ending.OTHER_CAUSE and done:
        renew_outcomes(desk, [concern_id])
    desk.bump("outcomes")
    desk.note_down("closed", "concern", concern_id, ending=ending.value, other_cause=row.other_cause)


def _refuse_unknown_notes(desk: Desk, named: Mapping[str, int | None]) -> None:
    ids = [one for one in named.values() if one is not None]
    on_file = note_store.kinds_of(desk.session, desk.shop.id, ids)
    wrong = {
        field: f"There is no note {one}."
        for field, one in named.items()
        if one is not None and one not in on_file
    }
    if on_file.get(named["cured_by"] or 0) == NoteKind.LESSON.value:
        wrong["cured_by"] = "A lesson cannot be installed; name the update."
    if wrong:
        raise BadInput(" ".join(wrong.values()), fields=wrong)


@anyone_in_the_shop
def reopen_concern(desk: Desk, concern_id: int) -> None:
    """Take the answer back and work on: what it waits for, what is next and its clocks are as they were."""
    reopen(desk, concern_id)
    desk.bump("outcomes")


@anyone_in_the_shop
def reopen(desk: Desk, concern_id: int) -> None:
    """The same within another use case, which bumps what it changes."""
    held = concerns_desk.on_file(desk, concern_id)
    row = held.concern
    counted_against = row.ending == Ending.OTHER_CAUSE.value
    row.state, row.ending, row.cured_by_note_id, row.other_cause = "open", "", None, ""
    row.closed_on = row.closed_at = row.explained_by_note_id = None
    row.version += 1
    row.changed_revision = desk.bump("concerns")
    if counted_against:
        renew_outcomes(desk, [concern_id])
    desk.note_down("reopened", "concern", concern_id)


def _refuse_another_answer(
    held: ConcernRows, ending: Ending, cured_by: int | None, other_cause: str, explained_by: int | None
) -> None:
    """A note that is not named again is no other answer."""
    row = held.concern
    same = (row.ending, row.other_cause) == (ending.value, other_cause.strip())
    notes = ((cured_by, row.cured_by_note_id), (explained_by, row.explained_by_note_id))
    if not same or any(named not in (None, kept) for named, kept in notes):
        raise Conflict(
            f"{ref_of(held.repair_order.number, row.line)} is closed already. "
            "Open it again to give another answer.",
            details={"ending": row.ending, "other_cause": row.other_cause},
        )


def _cure(desk: Desk, done: Sequence[tuple[Outcome, Any, Any]], named: int | None) -> int:
    """The update that cured: of those installed for the concern the one named, else the last.

    Raises BadInput where no programming is on record that installed anything: then nothing can have cured it.
    """
    installed = [outcome.update_id for outcome, *_ in done if outcome.installed]
    updates = [one for one in installed if one]
    if not installed:
        raise BadInput(_NOTHING_INSTALLED, fields={"cured_by": "no completed programming is on record"})
    if named is None:
        if not updates:
            raise BadInput(
                "Which update cured it? The programming on record names none; name it here.",
                fields={"cured_by": "name the update"},
            )
        return updates[-1]
    kept = updates_desk.on_file(desk).kept
    if updates and kept(named) not in {kept(one) for one in updates}:
        raise BadInput(
            "That update was not installed for this concern.", fields={"cured_by": "not installed here"}
        )
    return named
