"""The list of first steps on an empty shop's start page: ticked by what is on file, put away, had back."""

from __future__ import annotations

import json

from kb.desk import settings
from kb.desk.context import Desk, lead_or_owner, owner_only
from kb.desk.shop import identity
from kb.nouns.lead.first_steps import FirstSteps
from kb.records.store.imports.history_told import HISTORY_ROW
from kb.records.store.shop import first_steps as store
from kb.records.store.shop import shop as shop_store

_ANSWERED = "answered in the first steps"


@lead_or_owner
def first_steps(desk: Desk) -> FirstSteps:
    """How far the shop is; the demo needs none of them."""
    done, away = store.steps_done(desk.session, desk.shop.id, HISTORY_ROW)
    return FirstSteps(done, away or desk.shop.is_demo)


@lead_or_owner
def answer_money(desk: Desk, labor_rate: str, cured_in_10: str) -> None:
    """Both answers at once; an empty answer to how often an update cures stands for not sure."""
    settings.change_setting(desk, "labor_rate_minor_per_hour", labor_rate, _ANSWERED)
    settings.change_setting(desk, "prior_cured_in_10", cured_in_10, _ANSWERED)


@owner_only
def choose_zone(desk: Desk, timezone: str) -> None:
    """The local days that the shop keeps; its name and currency stay. Raises BadInput."""
    identity.change_shop(desk, desk.shop.name, timezone, desk.shop.currency)


@lead_or_owner
def put_away(desk: Desk, away: bool) -> None:
    """Show the list no more, or again."""
    shop_store.save_setting(
        desk.session,
        desk.shop.id,
        key=store.PUT_AWAY,
        value=json.dumps(away),
        source_line="",
        author=desk.actor.name,
        set_on=desk.today,
    )
    desk.bump("settings")
    desk.note_down("put away" if away else "took back", "first steps", None)
