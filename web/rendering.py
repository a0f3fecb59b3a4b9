"""Templates to HTML: one Jinja environment, every template escaped, with our filters."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined, pass_context
from jinja2.runtime import Context
from markupsafe import Markup, escape

from kb.desk.equipment import EquipmentView, SubscriptionView
from kb.desk.views import ConcernLine
from kb.nouns.advice import Evidence
from web import advice_words, labels, note_form, shapes, words
from web.shapes import Push


def environment(static_url: Callable[[str], str]) -> Environment:
    """The environment of the pages. `static_url` gives the address of a static file.

    A page's context holds `shop` (ShopFacts), `today` and `visitor`; filters that need the shop's
    currency, zone or day take them from there.
    """
    env = Environment(
        loader=PackageLoader("web", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    env.filters.update(
        money=_money,
        minor_money=_minor_money,
        day=_day,
        moment=_moment,
        percent=words.percent,
        in_ten=words.in_ten,
        count=words.count,
        plural=words.plural,
        minutes=words.minutes,
        last_eight=words.last_eight,
        in_a_row=words.in_a_row,
        vehicle=words.vehicle,
        word=labels.word,
        capitals=capitals,
        svg=_svg_number,
        coverage=note_form.coverage_lines,
        changes=note_form.changes,
        twice=_twice,
        line_choice=_line_choice,
        equipment_choice=_equipment_choice,
        subscription_choice=_subscription_choice,
        with_pushes=_with_pushes,
        next_words=advice_words.next_words,
        record_words=advice_words.record_words,
        start_words=advice_words.start_words,
        steady_words=advice_words.steady_words,
        range_words=advice_words.range_words,
    )
    env.globals.update(
        static=static_url,
        choices=labels.choices,
        strip_of=shapes.strip,
        bar_of=shapes.bar,
        chance_words=shapes.chance_words,
        form_token=_form_token,
    )
    return env


@pass_context
def _money(context: Context, amount: float | None) -> str:
    return words.money(amount, context["shop"].currency)


@pass_context
def _minor_money(context: Context, minor: int | None) -> str:
    return words.minor_money(minor, context["shop"].currency)


@pass_context
def _day(context: Context, when: date | None) -> str:
    return words.day(when, context["today"])


@pass_context
def _moment(context: Context, when: datetime | None) -> str:
    return words.moment(when, context["shop"].timezone, context["today"])


@pass_context
def _form_token(context: Context) -> Markup:
    """The hidden field that every form carries."""
    return Markup('<input type="hidden" name="form_token" value="{}">').format(context["form_token_value"])


def _svg_number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _with_pushes(evidence: Sequence[Evidence]) -> list[tuple[Evidence, Push]]:
    return list(zip(evidence, shapes.pushes(evidence), strict=True))


def _twice(words: str) -> tuple[str, str]:
    return words, words


def _line_choice(line: ConcernLine) -> tuple[str, str]:
    return str(line.id), line.ref


def _equipment_choice(one: EquipmentView) -> tuple[str, str]:
    return str(one.id), one.content.name


def _subscription_choice(one: SubscriptionView) -> tuple[str, str]:
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


def render(env: Environment, template: str, context: dict[str, Any]) -> str:
    """The page as HTML text."""
    return env.get_template(template).render(context)
