"""Which reflashes are to be asked about, and why: no more is read of each than decides that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from sqlmodel import col

from kb.desk import settings as settings_desk
from kb.desk.bay.outcomes.observed import gather_chosen
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.outcomes import OPEN_KINDS, CountedAs, Standing
from kb.outcomes.window import own_window
from kb.records.store.bay import hearing as hearing_store
from kb.records.store.bay.hearing import LastHeard
from kb.records.store.imports.bulk import runs
from kb.records.store.outcomes import outcomes as store
from kb.records.store.outcomes.outcomes import WaitingOutcome
from kb.records.tables import Outcome

DueBecause = Literal["window", "promise", "visit"]
_NOTHING_HEARD = LastHeard()


@dataclass(frozen=True, slots=True)
class Question:
    """Why and when a vehicle is to be asked about, and what was heard of it so far (as in `DueFollowUp`).

    A new complaint answers for the visit that it came up in, and so does that nobody asked; the vehicle is
    asked about again later.
    """

    why: DueBecause
    due_on: date
    ends_on: date
    last_seen_on: date | None
    tried_on: date | None
    tried: str
    heard_on: date | None
    heard: str
    in_shop_on: date | None
    proposed: int | None


@dataclass(frozen=True, slots=True)
class Asked:
    """A reflash that is to be asked about, before anything is read that only a list shows of it."""

    outcome: WaitingOutcome
    question: Question

    @property
    def why(self) -> DueBecause:
        return self.question.why


@anyone_in_the_shop
def to_ask(desk: Desk, on: date | None = None) -> tuple[Asked, ...]:
    """Of every vehicle to ask by `on` (today) what decides it, without what a list shows: a shop that never
    calls has thousands.
    """
    day = on or desk.today
    return desk.once(("to ask", day), lambda: _to_ask(desk, day))


def _to_ask(desk: Desk, day: date) -> tuple[Asked, ...]:
    rule = settings_desk.current(desk).window_rule()
    waiting = store.waiting_outcomes(desk.session, desk.shop.id, rule.days, day)
    over = _followed_by_miles(desk, waiting, day)
    here = store.open_visits(desk.session, desk.shop.id)
    said = hearing_store.last_heard(desk.session, [outcome.concern_id for outcome in waiting])
    found: dict[int, Asked] = {}
    for outcome in waiting:
        ends_on = outcome.reflashed_on + timedelta(days=own_window(rule, outcome.usual_gap_days).days)
        heard = said.get(outcome.concern_id, _NOTHING_HEARD)
        question = _question(outcome, ends_on, here.get(outcome.vehicle_id), heard, day)
        if question.due_on <= day and _still_stands(question, outcome, outcome.id in over):
            found[outcome.concern_id] = Asked(outcome, question)
    return tuple(sorted(found.values(), key=lambda one: _order(one.question)))


def _followed_by_miles(desk: Desk, waiting: Sequence[WaitingOutcome], day: date) -> set[int]:
    """Of those read one by one, the outcomes whose window the miles have ended without the concern."""
    alone = [outcome.id for outcome in waiting if outcome.counted_as == CountedAs.ONE_BY_ONE]
    over: set[int] = set()
    for some in runs(alone):
        found = gather_chosen(desk, day, col(Outcome.id).in_(some))
        for one in (one for told in found.values() for one in told):
            if one.standing is Standing.FOLLOWED_TO_WINDOW:
                over.add(one.reflash.outcome_id)
    return over


def _order(one: Question) -> tuple[date, bool, int]:
    """Who was not tried comes first; visits and promises, the oldest first, before windows, the newest first:
    whoever was here lately answers best.
    """
    window = one.why == "window"
    return one.tried_on or date.min, window, -one.due_on.toordinal() if window else one.due_on.toordinal()


def _question(
    outcome: WaitingOutcome, ends_on: date, here: date | None, heard: LastHeard, day: date
) -> Question:
    tried_on, tried = heard.tried or (None, "")
    seen_on = heard.fine if heard.fine and heard.fine >= outcome.reflashed_on else None
    if tried_on is not None and tried_on < (seen_on or outcome.reflashed_on):
        tried_on, tried = None, ""
    new = tried_on if tried == "new_complaint" else None
    if here is not None and any(told is not None and told >= here for told in (new, heard.in_shop)):
        here = None
    answered_on, answer = heard.answer or (None, "")
    said = (ends_on, seen_on, tried_on, tried, answered_on, answer, heard.in_shop, heard.proposed)
    promised = outcome.ask_on
    if here is not None and here > outcome.reflashed_on and (promised is None or promised > day):
        return Question("visit", here, *said)
    if promised is not None:
        return Question("promise", promised, *said)
    return Question("window", ends_on, *said)


def _still_stands(question: Question, outcome: WaitingOutcome, followed_by_miles: bool) -> bool:
    """Whether nobody has answered it yet."""
    if question.why == "promise":
        return True
    if outcome.event_kind not in OPEN_KINDS or followed_by_miles:
        return False
    return (question.last_seen_on or outcome.reflashed_on) < min(question.due_on, question.ends_on)
