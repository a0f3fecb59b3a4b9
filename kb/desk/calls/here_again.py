"""A vehicle that was reflashed is here again: how it does is asked first, with one tap.

Any later repair order asks of each open outcome "still fixed?". Where the new complaint is about the same
thing (kb/search/same/same_thing.py) it proposes itself as the comeback instead. What is answered
(kb/desk/calls/answers_here.py) is a follow-up of the earlier concern that names the visit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from kb.desk import settings as settings_desk
from kb.desk.bay.advice.concern_words import Complained, said_of
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.search import search_memory
from kb.desk.bay.search.entries import UPDATE
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.bay.concern_file import ConcernFile, OtherConcern
from kb.nouns.bay.on_file import Programmed
from kb.nouns.concerns import FollowUpResult
from kb.nouns.outcomes import OPEN_KINDS, Heard
from kb.outcomes.window import own_window
from kb.search.same.same_thing import Complaint

_SETTLE_NOTHING = {FollowUpResult.NO_ANSWER, FollowUpResult.NEW_COMPLAINT}


@dataclass(frozen=True, slots=True)
class AskedFirst:
    """An earlier reflash of the vehicle, and what was said of it at this visit.

    `modules`: (module, ID after) as programmed. `alike`: the words by which the new complaint is about the
    same thing; empty where it is not, or where somebody said so. `unsure`: asked, and nobody could say yet.
    `said`: the answer of this visit, by whom and with its follow-up; None while the question stands.
    """

    concern_id: int
    ref: str
    complaint: str
    update_number: str
    reflashed_on: date
    days: int
    modules: tuple[tuple[str, str], ...]
    alike: tuple[str, ...] = ()
    unsure: bool = False
    said: FollowUpResult | None = None
    said_by: str = ""
    follow_up_id: int | None = None


@anyone_in_the_shop
def asked_first(desk: Desk, concern_id: int) -> tuple[AskedFirst, ...]:
    """What is asked of earlier reflashes at this visit, and what was answered; the newest reflash first.

    Of a concern that is closed (an imported visit) only what its complaint proposes.
    """
    file = read_concern(desk, concern_id)
    asked = [_asked(desk, file, at, rows) for at, rows in earlier_of(file).items()]
    closed = file.state == "closed"
    shown = [one for one in asked if one is not None and (one.alike or one.said or not closed)]
    return tuple(sorted(shown, key=lambda one: one.reflashed_on, reverse=True))


def earlier_of(file: ConcernFile) -> dict[int, list[Programmed]]:
    """Reflashes of the vehicle for other repair orders before this visit, by concern, oldest first."""
    others = {one.id for one in file.visits if one.repair_order_id != file.repair_order_id}
    found: dict[int, list[Programmed]] = {}
    for one in sorted(file.programmed, key=lambda one: (one.performed_on, one.outcome_id)):
        counts = one.concern_id in others and one.installed and one.reports_count
        if counts and file.was_opened_after(one):
            found.setdefault(one.concern_id, []).append(one)
    return found


def heard_since(file: ConcernFile, earlier_id: int) -> list[Heard]:
    """What was heard of an earlier concern from the day of this visit on, as recorded."""
    heard = (one for one in file.heard.get(earlier_id, ()) if one.said.seen_on >= file.opened_on)
    return sorted(heard, key=lambda one: one.id)


def said_at(heard: Sequence[Heard], visit: int) -> list[Heard]:
    """What somebody said at a visit; what an import wrote of it by itself was said by nobody."""
    return [one for one in heard if one.at_visit == visit and not one.imported]


def _is_open(desk: Desk, last: Programmed, usual_gap_days: int | None) -> bool:
    """Whether nothing was heard that ended its count, and it is not known to be fine to its window's end."""
    days = own_window(settings_desk.current(desk).window_rule(), usual_gap_days).days
    return last.event_kind in OPEN_KINDS and last.event_day < days


def _sounds_alike(desk: Desk, now: Complained, before: Complained) -> tuple[str, ...]:
    """The words by which a concern is about the same thing as an earlier one of its vehicle."""
    index = search_memory.index(desk, (UPDATE,))
    new, old = said_of(now), said_of(before)
    return index.same_thing(Complaint(new.text, new.codes), Complaint(old.text, old.codes))


def _asked(desk: Desk, file: ConcernFile, earlier_id: int, rows: Sequence[Programmed]) -> AskedFirst | None:
    """None where nothing of it is open and nothing was said at this visit."""
    earlier = next(one for one in file.visits if one.id == earlier_id)
    heard = heard_since(file, earlier_id)
    mine = said_at(heard, file.id)
    settled = [one for one in mine if one.said.result not in _SETTLE_NOTHING]
    if settled:
        last = settled[-1]
        named = _named(file, earlier, rows)
        return replace(named, said=last.said.result, said_by=last.by, follow_up_id=last.id)
    if not _is_open(desk, rows[-1], earlier.usual_gap_days):
        return None
    results = {one.said.result for one in mine}
    alike = () if FollowUpResult.NEW_COMPLAINT in results else _sounds_alike(desk, file, earlier)
    elsewhere = {one.said.result for one in heard if one.at_visit != file.id}
    if not alike and elsewhere - {FollowUpResult.NO_ANSWER}:
        return None  # asked already, on another line of the visit or by a call
    return replace(_named(file, earlier, rows), alike=alike, unsure=FollowUpResult.NO_ANSWER in results)


def _named(file: ConcernFile, earlier: OtherConcern, rows: Sequence[Programmed]) -> AskedFirst:
    last = rows[-1]
    return AskedFirst(
        concern_id=earlier.id,
        ref=earlier.line.ref,
        complaint=earlier.complaint,
        update_number=last.update_number,
        reflashed_on=last.performed_on,
        days=(file.opened_on - last.performed_on).days,
        modules=tuple(dict.fromkeys((one.module, one.calibration_after) for one in rows)),
    )
