"""Costs of one concern that are not as the shop's settings say: more diagnosis, a dearer module, who pays.

An override stands on the concern with its reason, its author and its day; the shop's setting is untouched.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from kb.desk import settings as settings_desk
from kb.desk.bay.concern import concerns as concerns_desk
from kb.desk.context import Desk, anyone_in_the_shop
from kb.desk.saving import refuse_stale
from kb.desk.setting_definitions import BY_KEY, Definition
from kb.desk.shop_settings import ShopSettings
from kb.errors import BadInput, NotFound
from kb.records.tables import ConcernRow

OVERRIDABLE = (
    "labor_rate_minor_per_hour",
    "reflash_minutes",
    "relearn_cost_minor",
    "part_cost_minor",
    "diagnosis_minutes",
    "subscription_fee_minor",
    "comeback_cost_minor",
    "road_test_failure_cost_minor",
    "module_price_minor",
    "customer_reflash",
    "customer_diagnosis",
    "customer_check",
    "customer_subscription",
    "customer_rework",
    "customer_failed_programming",
)


@dataclass(frozen=True, slots=True)
class ConcernCost:
    """One cost on a concern: the shop's value, and this concern's own with its reason, or None.

    Money is in minor units. `version` counts changes of this one cost, 0 before the first.
    """

    definition: Definition
    shop_value: Any
    own_value: Any = None
    why: str = ""
    by: str = ""
    on: date | None = None
    version: int = 0


@anyone_in_the_shop
def list_concern_costs(desk: Desk, concern_id: int) -> tuple[ConcernCost, ...]:
    """Every cost that may differ on one concern, in the order of the settings."""
    row = concerns_desk.on_file(desk, concern_id).concern
    return tuple(_view(desk, row, key) for key in OVERRIDABLE)


@anyone_in_the_shop
def override_cost(
    desk: Desk, concern_id: int, key: str, value: Any, why: str, *, version: int | None = None
) -> ConcernCost:
    """Let this concern cost something else; money comes in whole units ("149.50"), with a reason.

    Raises NotFound for a cost that cannot differ, BadInput for a value out of range or no reason, Conflict
    where `version` is given and stale.
    """
    row, before = _held(desk, concern_id, key, version)
    parsed = settings_desk.parsed_value(before.definition, value, desk.shop.currency)
    if not why.strip():
        raise BadInput("Say why this concern differs.", fields={"why": "empty"})
    said = {"value": parsed, "why": why.strip(), "by": desk.actor.name, "on": desk.today.isoformat()}
    return _save(desk, row, before, said)


@anyone_in_the_shop
def restore_cost(desk: Desk, concern_id: int, key: str, *, version: int | None = None) -> ConcernCost:
    """Back to the shop's setting. Conflict where `version` is given and stale."""
    row, before = _held(desk, concern_id, key, version)
    return before if before.own_value is None else _save(desk, row, before, {"value": None})


def full_key(key: str) -> str:
    """The setting's own key of one named without its unit ("comeback_cost" is comeback_cost_minor)."""
    return next((one for one in OVERRIDABLE if key in (one, one.replace("_minor", ""))), key)


def settings_on(desk: Desk, overrides: Mapping[str, Any]) -> tuple[ShopSettings, frozenset[str]]:
    """The shop's settings as they hold on a concern with these overrides, and the keys that differ."""
    own: dict[str, Any] = {key: said["value"] for key, said in overrides.items() if said["value"] is not None}
    by_name: dict[str, Any] = {"module_prices_minor": {}} if "module_price_minor" in own else {}
    return replace(settings_desk.current(desk), **own, **by_name), frozenset(own)


def _held(desk: Desk, concern_id: int, key: str, version: int | None) -> tuple[ConcernRow, ConcernCost]:
    row = concerns_desk.on_file(desk, concern_id).concern
    if key not in OVERRIDABLE:
        raise NotFound(f"{key!r} is no cost that may differ on one concern.")
    before = _view(desk, row, key)
    if version is not None:
        sentence = f"{before.by or 'Somebody'} changed {before.definition.label.lower()} meanwhile."
        refuse_stale(before, version, sentence, theirs=before.own_value)
    return row, before


def _save(desk: Desk, row: ConcernRow, before: ConcernCost, said: Mapping[str, Any]) -> ConcernCost:
    key = before.definition.key
    row.cost_overrides = row.cost_overrides | {key: {**said, "version": before.version + 1}}
    desk.session.flush()
    desk.note_down("overrode cost", "concern", row.id, key=key, before=before.own_value, after=said["value"])
    return _view(desk, row, key)


def _view(desk: Desk, row: ConcernRow, key: str) -> ConcernCost:
    said = row.cost_overrides.get(key, {})
    return ConcernCost(
        definition=BY_KEY[key],
        shop_value=getattr(settings_desk.current(desk), key),
        own_value=said.get("value"),
        why=said.get("why", ""),
        by=said.get("by", ""),
        on=date.fromisoformat(said["on"]) if "on" in said else None,
        version=said.get("version", 0),
    )
