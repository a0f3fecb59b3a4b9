"""The checks as the lead keeps them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter
from starlette.responses import Response

from kb.desk.bay.advice import checks_on_file
from kb.desk.bay.concern import odd_entries
from kb.desk.context import Desk
from kb.desk.notes import check_counts, checks
from kb.errors import BadInput, KbError
from kb.nouns.bay.measures import UNITS
from kb.nouns.checks import CheckDraft, CheckView
from kb.nouns.currency import to_major
from kb.nouns.starting_checks import System
from web.forms import TypedForm
from web.labels import choices
from web.pages.notes import check_measure
from web.shown_again import shown_again
from web.visits import Somebody, Visit

router = APIRouter(prefix="/shop/checks")
_TEXTS = (
    *("name", "question", "yes_word", "no_word", "needs", "told_with", "caution", "repair"),
    "source_line",
)
_GUESSES, _MINUTES = ("yes_in_10_cured", "yes_in_10_not", "weight"), ("minutes", "wait_minutes")


def _form(visit: Visit, check_id: int = 0, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        check = checks.read_check(desk, check_id) if check_id else None
        content = check.content if check else CheckDraft("", "", "", "", 5, 5)
        printed = content.measure.printed if content.measure else ()
        notes = (*content.attached_to, *(one.note_id for one in printed))
        names = odd_entries.numbers_of(desk, notes)
    return visit.page(
        "shop/check.html",
        place="/shop",
        check=check,
        begin=as_typed(content, visit.shop.facts.currency, names),
        systems=choices("check_system"),
        units=[("", "no number"), *((unit, unit) for unit in UNITS)],
        yes_when=choices("yes_when"),
        decides=choices("decides"),
        refused=refused,
    )


@router.get("")
def show_list(visit: Somebody) -> Response:
    with visit.reading() as desk:
        found = checks_on_file.list_checks(desk, retired_too=True)
        counts = check_counts.counts_of_checks(desk)
    return visit.page("shop/checks.html", place="/shop", checks=found, counts=counts)


@router.get("/deciding")
def show_deciding(visit: Somebody) -> Response:
    with visit.reading() as desk:
        found = check_counts.which_decide(desk)
        checks_of = {one.key: one for one in checks_on_file.list_checks(desk)}
    return visit.page("shop/checks_deciding.html", place="/shop", found=found, checks=checks_of)


@router.get("/{check_id}/counts")
def show_counts(visit: Somebody, check_id: int) -> Response:
    return _counts(visit, check_id)


def _counts(visit: Visit, check_id: int, refused: KbError | None = None) -> Response:
    with visit.reading() as desk:
        found = check_counts.counts_of_check(desk, check_id)
    return visit.page(
        "shop/check_counts.html", place="/shop", found=found, check=found.check, refused=refused
    )


@router.post("/{check_id}/counts")
@shown_again(_counts)
def use_counts(visit: Somebody, check_id: int) -> Response:
    with visit.writing() as desk:
        saved = check_counts.use_counts(desk, check_id, visit.typed.must_whole("version", "version"))
    return visit.go("/shop/checks", said=_said(saved, "its guess is what was counted here."))


@router.get("/new")
def show_new(visit: Somebody) -> Response:
    return _form(visit)


@router.post("/new")
@shown_again(_form)
def add(visit: Somebody) -> Response:
    with visit.writing() as desk:
        added = checks.add_check(desk, _draft(desk, visit.typed))
    return visit.go("/shop/checks", said=_said(added, "added."))


@router.get("/{check_id}")
def show(visit: Somebody, check_id: int) -> Response:
    return _form(visit, check_id)


@router.post("/{check_id}")
@shown_again(_form)
def save(visit: Somebody, check_id: int) -> Response:
    with visit.writing() as desk:
        version = visit.typed.must_whole("version", "version")
        saved = checks.change_check(desk, check_id, version, _draft(desk, visit.typed))
    return visit.go("/shop/checks", said=_said(saved, "saved."))


@router.post("/{check_id}/retire")
def retire(visit: Somebody, check_id: int) -> Response:
    with visit.writing() as desk:
        gone = checks.retire_check(desk, check_id)
    return visit.go("/shop/checks", said=f"{gone.content.name}: no longer offered.")


def _said(check: CheckView, done: str) -> str:
    return " ".join((f"{check.content.name}: {done}", checks.tells_nothing(check.content))).strip()


def as_typed(content: CheckDraft, currency: str, names: Mapping[int, str]) -> dict[str, str]:
    """A check as the form would have it."""
    return {
        **{name: f"{getattr(content, name):g}" for name in (*_GUESSES, *_MINUTES)},
        **{name: getattr(content, name) for name in (*_TEXTS, "system")},
        "cost": f"{to_major(content.cost_minor, currency):g}",
        "saved": f"{to_major(content.saved_minor, currency):g}",
        "attached_to": ", ".join(names.get(one, f"#{one}") for one in content.attached_to),
        **check_measure.as_typed(content.measure, names),
    }


def _draft(desk: Desk, typed: TypedForm) -> CheckDraft:
    currency = desk.shop.currency
    numbers: dict[str, Any] = {name: _must(typed, name) for name in _GUESSES}
    numbers |= {name: typed.number(name) or 0.0 for name in _MINUTES}
    measure = check_measure.measure_typed(desk, typed)
    return CheckDraft(
        **typed.texts(*_TEXTS),
        **numbers,
        system=typed.text("system") or System.ALL.value,
        cost_minor=typed.minor("cost", currency) or 0,
        saved_minor=typed.minor("saved", currency) or 0,
        attached_to=_notes_named(desk, typed),
        measure=measure,
    )


def _notes_named(desk: Desk, typed: TypedForm) -> tuple[int, ...]:
    """Notes by their printed numbers, or #12 for one without; raises BadInput for one that is not on file."""
    named = [part.strip() for part in re.split(r"[,;\n]", typed.text("attached_to")) if part.strip()]
    return tuple(dict.fromkeys(one for name in named for one in odd_entries.notes_called(desk, name)))


def _must(typed: TypedForm, name: str) -> float:
    number = typed.number(name)
    if number is None:
        raise BadInput("Please fill in the numbers.", fields={name: "please fill this in"})
    return number
