"""The checks of one concern as they are shown: those that speak for a candidate, and those done."""

from __future__ import annotations

from kb.advice.before_plan.speaks_against import SAID
from kb.desk.bay.advice import checks_on_file
from kb.desk.bay.advice.advice_inputs import concern_in_hand
from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.bay.concern.views import FindingView
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.advice import CheckInHand
from kb.nouns.checks import CheckView
from kb.nouns.concerns import FindingResult
from kb.records.store.bay import case as store
from kb.records.tables import FindingRow


@anyone_in_the_shop
def list_findings(desk: Desk, concern_id: int) -> tuple[FindingView, ...]:
    """Checks attached here that can be done and nothing answered already, in the lead's order."""
    held = concerns_desk.on_file(desk, concern_id)
    found = {row.check_id: row for row, _check in store.findings(desk.session, concern_id)}
    in_hand = concern_in_hand(desk, held)
    checks = {check.definition.key: check for check in in_hand.checks}
    shown = []
    for check in checks_on_file.list_checks(desk):
        here = checks.get(check.key)
        speaks = here is not None and bool(here.attached_to) and not here.answered_already
        waits = here is not None and here.needs_road and in_hand.stays_parked
        if (speaks and not waits) or _is_done(found.get(check.id)):
            shown.append(_view(check, found.get(check.id), here))
    return tuple(shown)


def _is_done(row: FindingRow | None) -> bool:
    return row is not None and row.result != FindingResult.NOT_DONE.value


def _view(check: CheckView, row: FindingRow | None, here: CheckInHand | None) -> FindingView:
    content = check.content
    done = row if row is not None and _is_done(row) else None
    said = here.result if here is not None and here.by_words else None
    return FindingView(
        key=check.key,
        name=content.name,
        question=content.question,
        yes_word=content.yes_word,
        no_word=content.no_word,
        minutes=content.minutes,
        wait_minutes=content.wait_minutes,
        needs=content.needs,
        caution=content.caution,
        answered_already=here is not None and here.answered_already,
        result=FindingResult(done.result) if done else said,
        value=done.value if done else "",
        by=done.by if done else SAID if said else "",
        at=done.at if done else None,
    )
