"""Filters of the templates: words, money and marks that depend on the page they stand on."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Protocol

from jinja2 import pass_context
from jinja2.runtime import Context
from markupsafe import Markup, escape

from api.form_tokens import masked
from api.what_was_sent import FORM_KEY
from kb.desk.shop.equipment import EquipmentView
from kb.desk.shop.subscriptions import SubscriptionView
from kb.nouns.advice import Evidence
from kb.nouns.bay.concern_file import ConcernLine
from kb.nouns.currency import to_major
from web import chance_pictures, words
from web.chance_pictures import Push
from web.sent_form import new_key


@pass_context
def money(context: Context, amount: float | None) -> str:
    return words.money(amount, context["shop"].currency)


@pass_context
def minor_money(context: Context, minor: int | None) -> str:
    return words.minor_money(minor, context["shop"].currency)


@pass_context
def about_money(context: Context, minor: float) -> str:
    """An expectation in minor units as people say it, without decimals: "$268"."""
    currency = context["shop"].currency
    return words.money(to_major(round(minor), currency), currency)


@pass_context
def day(context: Context, when: date | None) -> str:
    return words.day(when, context["today"])


@pass_context
def moment(context: Context, when: datetime | None) -> str:
    return words.moment(when, context["shop"].timezone, context["today"])


@pass_context
def person(context: Context, name: str) -> str:
    """A user name as the shop calls that person."""
    called: str = context["name_of"](name)
    return called


@pass_context
def form_token(context: Context) -> Markup:
    """The hidden fields that every form carries: the token of the sign-in, and a key by which this form is
    taken only once, however often it is sent.
    """
    hidden = Markup('<input type="hidden" name="{}" value="{}">')
    token = masked(context["form_token_value"])
    return hidden.format("form_token", token) + hidden.format(FORM_KEY, new_key())


def with_pushes(evidence: Sequence[Evidence]) -> list[tuple[Evidence, Push]]:
    return list(zip(evidence, chance_pictures.pushes(evidence), strict=True))


class _Met(Protocol):
    """Why a result matched: typed word, what it was read as, the note's word."""

    typed: str
    read_as: str
    matched: str


def met(why: Sequence[_Met]) -> list[Markup]:
    """Each reason once, at most eight."""
    said: dict[Markup, None] = {}
    for one in why:
        words_met = Markup("<b>{}</b>").format(one.typed)
        if one.read_as and one.read_as.lower() != one.typed.lower():
            words_met += Markup(" read as <b>{}</b>").format(one.read_as)
        if one.matched and one.matched.lower() not in {one.typed.lower(), one.read_as.lower()}:
            words_met += Markup(" matches <b>{}</b>").format(one.matched)
        said[words_met] = None
    return list(said)[:8]


def twice(words: str) -> tuple[str, str]:
    return words, words


def line_choice(line: ConcernLine) -> tuple[str, str]:
    return str(line.id), line.ref


def equipment_choice(one: EquipmentView) -> tuple[str, str]:
    return str(one.id), one.content.name


def subscription_choice(one: SubscriptionView) -> tuple[str, str]:
    return str(one.id), f"{one.content.make} {one.content.kind.value}"


def capitals(text: str) -> Markup:
    """Text to be typed exactly: capitals and spaces are marked so that nobody misses one."""
    return Markup("").join(_marked(letter) for letter in text)


def _marked(letter: str) -> Markup:
    if letter.isupper():
        return Markup('<span class="capital">{}</span>').format(letter)
    if letter == "0":
        return Markup('<span class="zero">0</span>')
    if letter == " ":
        return Markup('<span class="space"> </span>')
    return escape(letter)
