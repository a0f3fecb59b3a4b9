"""What is on file of the steps that a new shop takes first."""

from __future__ import annotations

from sqlalchemy import ColumnElement, exists, func, select
from sqlmodel import Session, col

from kb.nouns.lead.first_steps import FirstStep
from kb.nouns.notes import KEPT_CURRENT_BY_FILES, NoteKind, NoteState
from kb.records.store.shop import shop as shop_store
from kb.records.tables import ImportedRow, NoteRow, Reflash, Trail, User

PUT_AWAY = "first_steps_put_away"
_MONEY = frozenset({"labor_rate_minor_per_hour", "prior_cured_in_10"})
_BACKED_UP_ELSEWHERE = ("fetched", "reported done")


def steps_done(session: Session, shop_id: int, history_row: str) -> tuple[frozenset[FirstStep], bool]:
    """The steps that something on file shows as taken, and whether the list was put away.

    `history_row`: what a row of the shop's history is called among imported rows.
    """
    asked: dict[FirstStep, ColumnElement[bool]] = {
        FirstStep.RECALLS: _any_note(shop_id, col(NoteRow.source).in_(KEPT_CURRENT_BY_FILES)),
        FirstStep.HISTORY: exists().where(
            col(ImportedRow.shop_id) == shop_id, col(ImportedRow.noun) == history_row
        )
        | exists().where(col(Reflash.id).is_not(None)),
        FirstStep.BULLETIN: _any_note(
            shop_id,
            col(NoteRow.kind) == NoteKind.BULLETIN.value,
            col(NoteRow.state) == NoteState.PUBLISHED.value,
            col(NoteRow.source).not_in(KEPT_CURRENT_BY_FILES),
        ),
        FirstStep.PEOPLE: select(func.count() > 1)
        .select_from(User)
        .where(col(User.shop_id) == shop_id, col(User.disabled_at).is_(None))
        .scalar_subquery(),
        FirstStep.BACKUPS: exists().where(
            col(Trail.shop_id) == shop_id,
            col(Trail.noun) == "backup",
            col(Trail.action).in_(_BACKED_UP_ELSEWHERE),
        ),
    }
    found = session.execute(select(*asked.values())).one()
    done = {step for step, told in zip(asked, found, strict=True) if told}
    settings = shop_store.setting_rows(session, shop_id)
    if settings.keys() >= _MONEY:
        done.add(FirstStep.MONEY)
    put_away = settings.get(PUT_AWAY)
    return frozenset(done), put_away is not None and put_away.value == "true"


def _any_note(shop_id: int, *fits: ColumnElement[bool]) -> ColumnElement[bool]:
    return exists().where(col(NoteRow.shop_id) == shop_id, *fits)
