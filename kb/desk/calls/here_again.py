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
from kb.desk.bay.advice.candidates import said_on
from kb.desk.bay.advice.update_names import names_of
from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.concern.concern_lines import ref_of
from kb.desk.bay.search import search_memory
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.concerns import FollowUpResult
from kb.outcomes.window import own_window
from kb.records.store.bay import here_again as store
from kb.records.store.bay.concerns import ConcernOnFile
from kb.records.store.bay.here_again import Earlier
from kb.records.store.outcomes.outcome_counts import OPEN_KINDS
from kb.records.tables import FollowUpRow
from kb.search.same.same_thing import Complaint

_SETTLE_NOTHING = {FollowUpResult.NO_ANSWER.value, FollowUpResult.NEW_COMPLAINT.value}


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
    held = concerns_desk.on_file(desk, concern_id)
    by_concern = earlier_of(desk, held)
    heard = store.heard_since(desk.session, by_concern, held.concern.opened_on)
    asked = [_asked(desk, held, rows, heard.get(at, ())) for at, rows in by_concern.items()]
    closed = held.concern.state == "closed"
    shown = [one for one in asked if one is not None and (one.alike or one.said or not closed)]
    return tuple(sorted(shown, key=lambda one: one.reflashed_on, reverse=True))


def earlier_of(desk: Desk, held: ConcernOnFile) -> dict[int, list[Earlier]]:
    """Reflashes of the vehicle for other repair orders before this visit, by concern, oldest first."""
    row, order = held.concern, held.repair_order
    found: dict[int, list[Earlier]] = {}
    opened = (row.opened_on, row.opened_at)
    for one in store.earlier_reflashes(desk.session, order.vehicle_id, order.id or 0, opened):
        found.setdefault(one.outcome.concern_id, []).append(one)
    return found


def said_at(heard: Sequence[FollowUpRow], visit: int | None) -> list[FollowUpRow]:
    """What somebody said at a visit; what an import wrote of it by itself was said by nobody."""
    return [one for one in heard if one.at_visit == visit and one.import_id is None]


def is_open(desk: Desk, last: Earlier) -> bool:
    """Whether nothing was heard that ended its count, and it is not known to be fine to its window's end."""
    days = own_window(settings_desk.current(desk).window_rule(), last.concern.usual_gap_days).days
    return last.outcome.event_kind in OPEN_KINDS and last.outcome.event_day < days


def sounds_alike(desk: Desk, now: ConcernOnFile, before: Earlier) -> tuple[str, ...]:
    """The words by which a concern is about the same thing as an earlier one of its vehicle."""
    index = search_memory.index(desk, (search_memory.UPDATE,))
    older = ConcernOnFile(before.concern, before.order, now.vehicle)
    new, old = said_on(desk, now), said_on(desk, older)
    return index.same_thing(Complaint(new.text, new.codes), Complaint(old.text, old.codes))


def _asked(
    desk: Desk, held: ConcernOnFile, rows: Sequence[Earlier], heard: Sequence[FollowUpRow]
) -> AskedFirst | None:
    """None where nothing of it is open and nothing was said at this visit."""
    mine = said_at(heard, held.concern.id)
    settled = [one for one in mine if one.result not in _SETTLE_NOTHING]
    if settled:
        last = settled[-1]
        said = FollowUpResult(last.result)
        return replace(_named(desk, held, rows), said=said, said_by=last.by, follow_up_id=last.id)
    if not is_open(desk, rows[-1]):
        return None
    results = {one.result for one in mine}
    something_new = FollowUpResult.NEW_COMPLAINT.value in results
    alike = () if something_new else sounds_alike(desk, held, rows[-1])
    elsewhere = {one.result for one in heard if one.at_visit != held.concern.id}
    if not alike and elsewhere - {FollowUpResult.NO_ANSWER.value}:
        return None  # asked already, on another line of the visit or by a call
    return replace(_named(desk, held, rows), alike=alike, unsure=FollowUpResult.NO_ANSWER.value in results)


def _named(desk: Desk, held: ConcernOnFile, rows: Sequence[Earlier]) -> AskedFirst:
    last = rows[-1]
    update = last.outcome.update_id or 0
    day = last.outcome.reflashed_on
    return AskedFirst(
        concern_id=last.outcome.concern_id,
        ref=ref_of(last.order.number, last.concern.line),
        complaint=last.concern.complaint,
        update_number=names_of(desk, [update]).get(update, ("", ""))[0],
        reflashed_on=day,
        days=(held.concern.opened_on - day).days,
        modules=tuple(dict.fromkeys((one.reflash.module, one.reflash.calibration_after) for one in rows)),
    )
