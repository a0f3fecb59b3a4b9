"""What the shop sets: its values and its checks."""

from __future__ import annotations

from typing import Any

from api.deps import Id, SignedInCall
from api.description.refusals import CONFLICT
from api.routing import Router
from api.schemas.base import Word
from api.schemas.shop import (
    CheckBody,
    CheckChange,
    CheckCountsOut,
    CheckOut,
    DecidesOut,
    SettingBody,
    SettingOut,
    VersionBody,
)
from kb.desk import settings
from kb.desk.bay.advice import checks_on_file
from kb.desk.notes import check_counts, checks
from kb.desk.setting_definitions import DEFINITIONS, Kind
from kb.nouns.checks import CheckDraft, CheckView
from kb.nouns.currency import to_major

router = Router(tags=["shop"])

_KEYS = {one.key.replace("_minor", ""): one.key for one in DEFINITIONS}
"""The interface's names: money is in whole units there."""


@router.get("/settings")
def list_settings(call: SignedInCall) -> list[SettingOut]:
    """Every value with its range, where it comes from and who set it."""
    with call.reading() as desk:
        return [_setting(one, desk.shop.currency) for one in settings.list_settings(desk)]


@router.put("/settings/{key}", responses=CONFLICT)
def change_setting(key: Word, body: SettingBody, call: SignedInCall) -> SettingOut:
    """Set a value with the reason; for the lead and the owner."""
    with call.writing() as desk:
        view = settings.change_setting(
            desk, _KEYS.get(key, key), body.value, body.source_line, version=body.version
        )
        return _setting(view, desk.shop.currency)


@router.get("/checks")
def list_checks(call: SignedInCall, retired_too: bool = False) -> list[CheckOut]:
    """What a check asks and is believed to tell."""
    with call.reading() as desk:
        found = checks_on_file.list_checks(desk, retired_too=retired_too)
        return [_check(one, desk.shop.currency) for one in found]


@router.get("/checks/deciding")
def which_decide(call: SignedInCall) -> list[DecidesOut]:
    """Which checks decide anything: on the open and the last decided concerns, by the plan's own rule."""
    with call.reading() as desk:
        return [DecidesOut.of(one) for one in check_counts.which_decide(desk)]


@router.get("/checks/{check_id}/counts")
def check_counts_of(check_id: Id, call: SignedInCall) -> CheckCountsOut:
    """The shop's own counts beside a check's guesses, and what using them would change."""
    with call.reading() as desk:
        found = check_counts.counts_of_check(desk, check_id)
    return CheckCountsOut.of(found, check_id=check_id, key=found.check.key, version=found.check.version)


@router.post("/checks/{check_id}/use-counts", responses=CONFLICT)
def use_counts(check_id: Id, body: VersionBody, call: SignedInCall) -> CheckOut:
    """The counts become the guess, at the weight of one vehicle; for the lead and the owner."""
    with call.writing() as desk:
        return _check(check_counts.use_counts(desk, check_id, body.version), desk.shop.currency)


@router.post("/checks", status_code=201)
def add_check(body: CheckBody, call: SignedInCall) -> CheckOut:
    """A new check; for the lead and the owner."""
    with call.writing() as desk:
        return _check(
            checks.add_check(desk, body.as_value(CheckDraft, desk.shop.currency)), desk.shop.currency
        )


@router.put("/checks/{check_id}", responses=CONFLICT)
def change_check(check_id: Id, body: CheckChange, call: SignedInCall) -> CheckOut:
    """Save over `version`. If somebody saved since: 409, with both texts in `details`."""
    with call.writing() as desk:
        currency = desk.shop.currency
        return _check(
            checks.change_check(desk, check_id, body.version, body.as_value(CheckDraft, currency)), currency
        )


@router.post("/checks/{check_id}/retire")
def retire_check(check_id: Id, call: SignedInCall) -> CheckOut:
    """Let it no longer be asked; what it said counts on."""
    with call.writing() as desk:
        return _check(checks.retire_check(desk, check_id), desk.shop.currency)


def _check(view: CheckView, currency: str) -> CheckOut:
    return CheckOut.of_money(view, currency)


def _setting(view: settings.SettingView, currency: str) -> SettingOut:
    what = view.definition
    named = {name: getattr(what, name) for name in ("label", "empty", "unit", "kind", "group", "low", "high")}
    key, value = what.key.replace("_minor", ""), _value(view.value, what.kind, currency)
    return SettingOut.of(view, key=key, value=value, **named)


def _value(value: Any, kind: Kind, currency: str) -> Any:
    if kind is Kind.MONEY:
        return to_major(value, currency)
    if kind is Kind.MONEY_BY_NAME:
        return {name: to_major(minor, currency) for name, minor in value.items()}
    return value
