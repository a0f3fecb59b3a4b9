"""The shop's set-up: where to go, and its settings with their sources."""

from __future__ import annotations

from functools import partial
from itertools import groupby

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk import settings
from kb.desk.setting_definitions import Kind
from kb.desk.settings import SettingView
from kb.desk.shop import identity
from kb.errors import KbError
from kb.nouns.currency import decimals, to_major, typed_amount
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/shop")


def _settings_page(visit: Visit, key: str = "", refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        views = settings.list_settings(desk)
    currency = visit.shop.facts.currency
    rows = [(view, as_typed(view, currency)) for view in views]
    grouped = groupby(rows, key=lambda row: row[0].definition.group)
    return visit.page(
        "shop/settings.html",
        place="/shop",
        facts=visit.shop.facts,
        zones=identity.zones_offered(),
        groups=[(name, list(some)) for name, some in grouped],
        at_fault=key,
        refused=refused,
    )


@router.get("")
def menu(visit: Somebody) -> Response:
    return visit.page("shop/menu.html", place="/shop")


@router.get("/settings")
def show_settings(visit: Somebody) -> Response:
    return _settings_page(visit)


@router.post("/settings/{key}")
@shown_again(_settings_page)
def change_setting(visit: Somebody, key: str) -> Response:
    """One value with why it is so; money is typed in whole units."""
    typed = visit.typed
    with visit.writing() as desk:
        changed = settings.change_setting(
            desk, key, typed.text("value"), typed.text("source_line"), version=typed.whole("version")
        )
    return visit.go("/shop/settings", said=f"{changed.definition.label}: saved; advice uses it from now on.")


@router.post("/identity")
@shown_again(partial(_settings_page, key="identity"))
def change_identity(visit: Somebody) -> Response:
    """The shop's name, time zone and currency."""
    typed = visit.typed
    with visit.writing() as desk:
        changed = identity.change_shop(
            desk, typed.text("name"), typed.text("timezone"), typed.text("currency")
        )
    return visit.go("/shop/settings", said=f"{changed.name}: saved.")


def as_typed(view: SettingView, currency: str) -> str:
    """A setting's value as a person would type it."""
    kind = view.definition.kind
    if view.value is None:
        return ""
    if kind is Kind.MONEY_BY_NAME:
        lines = ((name, to_major(minor, currency)) for name, minor in view.value.items())
        return "\n".join(f"{name} = {price:.{decimals(currency)}f}" for name, price in lines)
    if kind is Kind.MONEY:
        return typed_amount(view.value, currency)
    return f"{view.value:g}" if isinstance(view.value, float) else str(view.value)
