"""The checks of one concern as they are shown: those that speak for a candidate, and those done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from kb.advice.before_plan.cause_found import cause_told
from kb.advice.before_plan.speaks_against import SAID
from kb.advice.checks.measured import limit_said, limits_here
from kb.desk.bay.advice import checks_on_file
from kb.desk.bay.advice.concern_in_hand import concern_in_hand
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.concern.fitting_checks import best_fits, keys_looked_for
from kb.desk.bay.concern.limits_on_concern import notes_in_hand
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.advice import CheckInHand
from kb.nouns.bay.on_file import Found
from kb.nouns.checks import CheckView
from kb.nouns.concerns import FindingResult
from kb.nouns.copying import copied
from kb.papers.repair_order import finding_said

MOST_FOUND = 8


@dataclass(frozen=True, slots=True)
class FindingView:
    """A check as it stands on one concern; `result` None means not done.

    `unit` of a check that takes a number: the `limit` that rules here in words, what to look at where the
    number leaves it open (`left_open`), and the `number` that was measured. `fits`: why it fits a concern
    that no update is about. `cause`: what a concern may be closed as where the result names a fault.
    `not_before`: until when a clock that runs forbids it.
    """

    key: str
    name: str
    question: str
    yes_word: str
    no_word: str
    minutes: float
    wait_minutes: float
    needs: str
    caution: str
    answered_already: bool = False
    result: FindingResult | None = None
    value: str = ""
    by: str = ""
    at: datetime | None = None
    number: float | None = None
    unit: str = ""
    limit: str = ""
    left_open: str = ""
    below_zero: bool = False
    fits: str = ""
    cause: str = ""
    not_before: str = ""

    @property
    def said(self) -> str:
        """The result as papers say it."""
        return finding_said(self)


@anyone_in_the_shop
def list_findings(desk: Desk, concern_id: int) -> tuple[FindingView, ...]:
    """Checks attached here that can be done and nothing answered already, in the lead's order.

    Where no update is about the concern: the three that fit it best.
    """
    file = read_concern(desk, concern_id)
    found = {one.check_id: one for one in file.found}
    in_hand = concern_in_hand(desk, file)
    checks = {check.definition.key: check for check in in_hand.checks}
    notes = notes_in_hand(in_hand)
    fits = best_fits(desk, file, in_hand)
    shown, money = [], desk.shop.currency
    for check in checks_on_file.list_checks(desk):
        here = checks.get(check.key)
        speaks = here is not None and bool(here.attached_to) and not here.answered_already
        waits = here is not None and here.needs_road and in_hand.stays_parked
        if (speaks and not waits) or _is_done(found.get(check.id)):
            shown.append(_view(check, found.get(check.id), here, notes, currency=money))
    every = checks_on_file.by_key(desk)
    best = (_view(every[key], None, checks.get(key), notes, why, currency=money) for key, why in fits.items())
    return (*shown, *best)


@anyone_in_the_shop
def find_checks(desk: Desk, concern_id: int, typed: str) -> tuple[FindingView, ...]:
    """Checks that these words look for and that nobody did on the concern yet, best first."""
    file = read_concern(desk, concern_id)
    done = {one.check_id for one in file.found if _is_done(one)}
    notes = notes_in_hand(concern_in_hand(desk, file))
    checks = checks_on_file.by_key(desk)
    found = [checks[key] for key in keys_looked_for(desk, typed)]
    return tuple(
        _view(one, None, None, notes, currency=desk.shop.currency) for one in found if one.id not in done
    )[:MOST_FOUND]


def _is_done(found: Found | None) -> bool:
    return found is not None and found.result is not FindingResult.NOT_DONE


def _view(
    check: CheckView,
    found: Found | None,
    here: CheckInHand | None,
    notes: Mapping[int, str],
    fits: str = "",
    *,
    currency: str,
) -> FindingView:
    content, measure = check.content, check.content.measure
    done = found if found is not None and _is_done(found) else None
    said = here.result if here is not None and here.by_words else None
    return copied(
        FindingView,
        content,
        key=check.key,
        answered_already=here is not None and here.answered_already,
        result=done.result if done else said,
        value=done.value if done else "",
        by=done.by if done else SAID if said else "",
        at=done.at if done else None,
        number=done.number if done else None,
        unit=(done.unit if done else "") or (measure.unit if measure else ""),
        limit=limit_said(measure, limits_here(measure, notes)) if measure else "",
        left_open=measure.left_open if measure else "",
        fits=fits,
        not_before=here.not_before if here and not done else "",
        cause=cause_told(check.definition(currency), done.result) if done else "",
        below_zero=bool(measure and (measure.least is None or measure.least < 0)),
    )
