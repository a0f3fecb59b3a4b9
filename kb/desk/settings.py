"""The shop's own values: what a reflash, a comeback or a look-up is worth here."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date
from typing import Any

from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.saving import refuse_stale
from kb.desk.setting_definitions import BY_KEY, DEFINITIONS, Definition, Kind
from kb.desk.shop_settings import ShopSettings
from kb.errors import BadInput, NotFound
from kb.nouns.currency import decimals, to_minor
from kb.nouns.typed_numbers import without_commas
from kb.records.store.shop import shop as store


@dataclass(frozen=True, slots=True)
class SettingView:
    """One setting as it stands. Money is in minor units; `author` is empty while it is the starting guess."""

    definition: Definition
    value: Any
    source_line: str
    author: str = ""
    set_on: date | None = None
    version: int = 0


@anyone_in_the_shop
def current(desk: Desk) -> ShopSettings:
    """The values in force."""
    return in_force(desk)


def in_force(desk: Desk) -> ShopSettings:
    """The same, for what decides who somebody is."""
    revision = desk.revisions()["settings"]
    return desk.memory.recall("settings", (desk.shop.id, revision), lambda: _read(desk))


@anyone_in_the_shop
def list_settings(desk: Desk) -> tuple[SettingView, ...]:
    """Every setting with its label, range, source line, author and day."""
    rows = store.setting_rows(desk.session, desk.shop.id)
    views = []
    for definition in DEFINITIONS:
        row = rows.get(definition.key)
        if row is None:
            views.append(SettingView(definition, definition.default, definition.source_line))
        else:
            value = json.loads(row.value)
            views.append(SettingView(definition, value, row.source_line, row.author, row.set_on, row.version))
    return tuple(views)


@lead_or_owner
def change_setting(
    desk: Desk, key: str, value: Any, source_line: str, *, version: int | None = None
) -> SettingView:
    """Set one value; money comes in whole units ("149.50"), a price by name as a mapping or as lines.

    `source_line` says why it is so. Empty or None takes back what may be left empty. Raises NotFound for
    an unknown key, BadInput for a value out of range, Conflict if `version` is given and stale.
    """
    definition = BY_KEY.get(key)
    if definition is None:
        raise NotFound(f"There is no setting {key!r}.")
    parsed = parsed_value(definition, value, desk.shop.currency)
    before = next(view for view in list_settings(desk) if view.definition.key == key)
    if version is not None:
        sentence = f"{before.author} set {definition.label.lower()} meanwhile."
        refuse_stale(before, version, sentence, yours=parsed, theirs=before.value)
    store.save_setting(
        desk.session,
        desk.shop.id,
        key=key,
        value=json.dumps(parsed, sort_keys=True),
        source_line=source_line.strip() or "the shop's own, no source line",
        author=desk.actor.name,
        set_on=desk.today,
    )
    desk.note_down("changed", "setting", None, key=key, before=before.value, after=parsed)
    desk.bump("settings")
    return next(view for view in list_settings(desk) if view.definition.key == key)


def _read(desk: Desk) -> ShopSettings:
    rows = store.setting_rows(desk.session, desk.shop.id)
    known = {item.name for item in fields(ShopSettings)}
    return ShopSettings(**{key: json.loads(row.value) for key, row in rows.items() if key in known})


def parsed_value(definition: Definition, value: Any, currency: str) -> Any:
    """A value as typed, as it is kept: money in minor units, None where it is left empty and may be.

    Raises BadInput naming the setting.
    """
    if definition.empty and (value is None or not str(value).strip()):
        return None
    match definition.kind:
        case Kind.MONEY_BY_NAME:
            return _prices(definition, value, currency)
        case Kind.MONEY:
            return to_minor(_money(definition, value, currency), currency)
        case Kind.WHOLE:
            number = _number(definition, value)
            if number != int(number):
                raise _bad(definition, "a whole number")
            return int(number)
        case Kind.SHARE:
            return _share(definition, value)
        case _:
            return _number(definition, value)


def _number(definition: Definition, value: Any, scale: int = 1) -> float:
    try:
        number = float(without_commas(str(value).strip().lstrip("$"), definition.key))
    except ValueError:
        raise _bad(definition, "a number") from None
    low, high = definition.low * scale, definition.high * scale
    if not (math.isfinite(number) and low <= number <= high):
        raise _bad(definition, f"a number from {low:,g} to {high:,.10g}")
    return number


def _money(definition: Definition, value: Any, currency: str) -> float:
    return _number(definition, value, 1 if decimals(currency) else 100)


def _share(definition: Definition, value: Any) -> float:
    """Also as typed in percent: "60%" is 0.6."""
    typed = str(value).strip()
    if not typed.endswith("%"):
        return _number(definition, typed)
    try:
        return _number(definition, f"{float(typed[:-1]) / 100:.10g}")
    except ValueError:
        raise _bad(definition, "a share like 0.6 or 60%") from None


def _prices(definition: Definition, value: Any, currency: str) -> dict[str, int]:
    if isinstance(value, Mapping):
        pairs = [(str(name), price) for name, price in value.items()]
    else:
        lines = [line.partition("=") for line in str(value).splitlines() if line.strip()]
        pairs = [(name, price) for name, _, price in lines]
    return {
        name.strip().upper(): to_minor(_money(definition, price, currency), currency)
        for name, price in pairs
        if name.strip()
    }


def _bad(definition: Definition, wanted: str) -> BadInput:
    return BadInput(f"{definition.label}: enter {wanted}.", fields={definition.key: wanted})
