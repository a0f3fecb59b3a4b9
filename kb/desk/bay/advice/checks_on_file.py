"""The shop's checks as everybody in the bay reads them, remembered between requests."""

from __future__ import annotations

from dataclasses import fields

from kb.advice.before_plan.checks_of_updates import is_asked, starts_engine
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.measures import measure_of
from kb.nouns.checks import CheckDraft, CheckView
from kb.nouns.concerns import FindingResult
from kb.nouns.copying import copied
from kb.prep.clocks import not_before
from kb.records.store.notes import checks as store
from kb.records.tables import CheckRow

_OTHERWISE = ("attached_to", "measure")
COLUMNS = tuple(item.name for item in fields(CheckDraft) if item.name not in _OTHERWISE)
"""What of a check stands in its own row as it is."""


@anyone_in_the_shop
def list_checks(desk: Desk, *, retired_too: bool = False) -> tuple[CheckView, ...]:
    """The shop's checks in the lead's order."""
    every = desk.memory.recall("checks", desk.revisions()["settings"], lambda: _every_check(desk))
    return tuple(check for check in every if retired_too or not check.retired)


def by_key(desk: Desk) -> dict[str, CheckView]:
    """Every check by its key, retired ones included."""
    return {check.key: check for check in list_checks(desk, retired_too=True)}


def done_on(desk: Desk, file: ConcernFile) -> frozenset[str]:
    """Keys of the checks that said yes or no on a concern."""
    said = {one.check_id for one in file.found if one.result in (FindingResult.YES, FindingResult.NO)}
    return frozenset(key for key, check in by_key(desk).items() if check.id in said) if said else frozenset()


def not_before_on(desk: Desk, file: ConcernFile, check: CheckView) -> str:
    """Until when a clock that runs on a concern forbids the check, such as "7:40 AM: cold soak"."""
    told = check.content
    return not_before(
        file.clocks,
        desk.now,
        desk.shop.zone,
        check=check.key,
        starts=starts_engine(told.name, told.question, told.needs),
        wakes=not is_asked(told.name),
    )


def _every_check(desk: Desk) -> tuple[CheckView, ...]:
    attached = store.attachments(desk.session, desk.shop.id)
    rows = store.checks(desk.session, desk.shop.id, retired_too=True)
    return tuple(view_of(row, tuple(attached.get(row.id or 0, ()))) for row in rows)


def view_of(row: CheckRow, attached_to: tuple[int, ...]) -> CheckView:
    """The row of a check as it is read."""
    content = copied(CheckDraft, row, attached_to=attached_to, measure=measure_of(row.measure))
    return copied(CheckView, row, id=row.id or 0, retired=row.retired_on is not None, content=content)
