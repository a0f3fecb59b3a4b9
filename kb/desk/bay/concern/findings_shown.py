"""The checks of one concern as they are shown: those that speak for a candidate, and those done."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from kb.advice.before_plan.speaks_against import SAID
from kb.desk.bay.advice import checks_on_file
from kb.desk.bay.advice.concern_in_hand import concern_in_hand
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.advice import CheckInHand
from kb.nouns.bay.on_file import Found
from kb.nouns.checks import CheckView
from kb.nouns.concerns import FindingResult
from kb.nouns.copying import copied


@dataclass(frozen=True, slots=True)
class FindingView:
    """A check as it stands on one concern; `result` None means not done."""

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


@anyone_in_the_shop
def list_findings(desk: Desk, concern_id: int) -> tuple[FindingView, ...]:
    """Checks attached here that can be done and nothing answered already, in the lead's order."""
    file = read_concern(desk, concern_id)
    found = {one.check_id: one for one in file.found}
    in_hand = concern_in_hand(desk, file)
    checks = {check.definition.key: check for check in in_hand.checks}
    shown = []
    for check in checks_on_file.list_checks(desk):
        here = checks.get(check.key)
        speaks = here is not None and bool(here.attached_to) and not here.answered_already
        waits = here is not None and here.needs_road and in_hand.stays_parked
        if (speaks and not waits) or _is_done(found.get(check.id)):
            shown.append(_view(check, found.get(check.id), here))
    return tuple(shown)


def _is_done(found: Found | None) -> bool:
    return found is not None and found.result is not FindingResult.NOT_DONE


def _view(check: CheckView, found: Found | None, here: CheckInHand | None) -> FindingView:
    content = check.content
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
    )
