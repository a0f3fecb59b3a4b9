"""The checks of one concern as a page shows them: what was found, and which speak to an update here."""

from __future__ import annotations

from dataclasses import dataclass

from kb.desk import checks as checks_desk
from kb.desk import concerns as concerns_desk
from kb.desk.context import Desk, anyone_in_the_shop
from kb.desk.in_hand import concern_in_hand
from kb.desk.views import FindingView
from kb.nouns.advice import CheckInHand
from kb.nouns.concerns import FindingResult
from kb.records.store import case as store
from kb.records.tables import FindingRow


@dataclass(frozen=True, slots=True)
class FindingsShown:
    """`telling` speak for or against a candidate here, or have a result; `others` are every other check."""

    telling: tuple[FindingView, ...]
    others: tuple[FindingView, ...]


@anyone_in_the_shop
def list_findings(desk: Desk, concern_id: int) -> FindingsShown:
    """Every check of the shop in the lead's order. Raises NotFound."""
    held = concerns_desk.on_file(desk, concern_id)
    in_hand = {one.definition.key: one for one in concern_in_hand(desk, held).checks}
    rows = {check.key: row for row, check in store.findings(desk.session, concern_id)}
    telling: list[FindingView] = []
    others: list[FindingView] = []
    for check in checks_desk.list_checks(desk):
        here, row = in_hand.get(check.key), rows.get(check.key)
        view = _view(check, here, row)
        speaks = here is not None and bool(here.attached_to)
        (telling if speaks or view.result is not None else others).append(view)
    return FindingsShown(tuple(telling), tuple(others))


def _view(check: checks_desk.CheckView, here: CheckInHand | None, row: FindingRow | None) -> FindingView:
    content = check.content
    done = row is not None and row.result != FindingResult.NOT_DONE.value
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
        result=FindingResult(row.result) if row is not None and done else None,
        value=row.value if row is not None and done else "",
        by=row.by if row is not None and done else "",
        at=row.at if row is not None and done else None,
    )
