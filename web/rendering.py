"""Templates to HTML: one Jinja environment, every template escaped, with our filters."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined

from kb.nouns.bay.instead import WHY_NOT
from kb.nouns.bay.measures import plain_number
from kb.nouns.bay.waiting import BY_HAND, beside_clocks
from kb.nouns.chance_words import about_in_ten, edges_said, record_said
from kb.nouns.concerns import WHAT_IS_RECOVERY
from kb.nouns.notes import within_a_sentence
from kb.nouns.review.alarms import HOW_OFTEN_FALSE
from kb.nouns.shop.ways import days_away
from web import advice_words, chance_pictures, filters, labels, note_form, words
from web.pictures import svg

FILTERS: Mapping[str, Callable[..., Any]] = MappingProxyType(
    {
        "money": filters.money,
        "measured_number": plain_number,
        "minor_money": filters.minor_money,
        "about_money": filters.about_money,
        "of_ten": words.of_ten,
        "day": filters.day,
        "days_away": days_away,
        "beside_clocks": beside_clocks,
        "moment": filters.moment,
        "time_of_day": words.time_of_day,
        "person": filters.person,
        "percent": words.percent,
        "points": words.points,
        "chance_of_luck": words.chance_of_luck,
        "count": words.count,
        "megabytes": words.megabytes,
        "plural": words.plural,
        "score": words.score,
        "minutes": words.minutes,
        "waits": words.waits,
        "last_eight": words.last_eight,
        "in_a_row": words.in_a_row,
        "vehicle": words.vehicle,
        "word": labels.word,
        "capitals": filters.capitals,
        "svg": svg.number,
        "changes": note_form.changes,
        "met": filters.met,
        "twice": filters.twice,
        "line_choice": filters.line_choice,
        "equipment_choice": filters.equipment_choice,
        "subscription_choice": filters.subscription_choice,
        "with_pushes": filters.with_pushes,
        "next_words": advice_words.next_words,
        "record_words": advice_words.record_words,
        "seen_in": advice_words.seen_in,
        "evidence_name": advice_words.evidence_name,
        "steady_words": advice_words.steady_words,
        "within_a_sentence": within_a_sentence,
        "range_words": advice_words.range_words,
    }
)


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
    env.filters.update(FILTERS)
    env.globals.update(
        static=static_url,
        choices=labels.choices,
        strip_of=chance_pictures.strip,
        edges_said=edges_said,
        bar_of=chance_pictures.bar,
        about_in_ten=about_in_ten,
        record_said=record_said,
        why_not=WHY_NOT,
        waits_by_hand=BY_HAND,
        when_cured=labels.WHEN_CURED,
        what_is_recovery=WHAT_IS_RECOVERY,
        form_token=filters.form_token,
        how_often_alarms_are_false=HOW_OFTEN_FALSE,
    )
    return env


def render(env: Environment, template: str, context: dict[str, Any]) -> str:
    """The page as HTML text."""
    return env.get_template(template).render(context)
