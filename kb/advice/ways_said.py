"""The ways of a candidate in one sentence: "Sent out $145 and 2 days; here $213: no subscription running"."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import floor
from types import MappingProxyType

from kb.nouns.days import day_words
from kb.nouns.recorded_words import in_words
from kb.nouns.shop.ways import Way, WayCost, days_away

NO_WAYS: Mapping[str, Way] = MappingProxyType({})


def ways_sentence(ways: Sequence[WayCost], currency: str) -> str:
    """Every way, the one taken first; empty where there is nothing to choose from.

    `currency` is what stands before an amount.
    """
    if not ways:
        return ""
    said = "; ".join(_way(one, currency) for one in ways)
    said = f"{said[0].upper()}{said[1:]}."
    return said if ways[0].is_allowed else f"No way is open as things stand. {said}"


def by_way(what: str, way: Way) -> str:
    """What is programmed, with who does it where that is not here."""
    return what if way is Way.HERE else f"{what}, {in_words(way, 'way')}"


def _way(one: WayCost, currency: str) -> str:
    name = in_words(one.way, "way")
    if not one.is_allowed:
        return f"not {name}: {one.why_not}" if one.way is Way.HERE else f"{name}: {one.why_not}"
    cost = f"{name} {currency}{floor(one.total + 0.5):,}"
    cost += "" if one.way is Way.HERE else days_away(one.days)
    cost += f" (asked {day_words(one.asked_on)}, ask again)" if one.is_old and one.asked_on else ""
    return f"{cost}: {one.remark}" if one.remark else cost
