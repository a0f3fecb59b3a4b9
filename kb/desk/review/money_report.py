"""What comebacks, needless reflashes and unused subscriptions cost, and what was avoided."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from kb.advice.planning import costs
from kb.desk import settings as settings_desk
from kb.desk.context import Desk, lead_or_owner
from kb.desk.review import reports
from kb.desk.review.needless_reflashes import NeedlessVisit, money_of, needless_visits
from kb.desk.review.reports import ReportFilter
from kb.desk.shop.subscription_use import subscription_report
from kb.nouns.advice_inputs import CandidateInHand
from kb.nouns.currency import to_minor
from kb.nouns.notes import Grade
from kb.nouns.shop.ways import Way
from kb.outcomes.money.failure_costs import Failures, HowFailed
from kb.records.store.outcomes import needless as needless_store
from kb.records.store.shop import subscription_use as store

ALL_COMEBACKS = "All that comebacks and other causes cost"
OF_NO_REFLASH = "Comebacks of no reflash on record here"
CAME_IN = "Comebacks that came in these days, of whichever reflash"
BORNE = "what the shop bore, as recorded"
_OVERLAPS = "; those of these days' own reflashes stand in the first sum too"


@dataclass(frozen=True, slots=True)
class MoneyLine:
    """How often, and what it came to in minor units; `rests_on` says in words where the amount is from.

    `is_sum`: of the lines above it back to the last sum.
    """

    what: str
    count: int
    amount_minor: int
    rests_on: str
    is_sum: bool = False


@lead_or_owner
def money_report(desk: Desk, asked: ReportFilter) -> tuple[MoneyLine, ...]:
    """Comebacks and needless reflashes of the reflashes that are asked for; of a period also what came in it.

    Subscriptions and avoided reflashes are of the whole shop and all time, up to the day of the report.
    """
    until = min(asked.as_of or desk.today, desk.today)
    avoided = store.avoided(desk.session, desk.shop.id, until)
    unused = [
        one.subscription.content
        for one in subscription_report(desk).used
        if one.for_nothing and one.subscription.content.ends_on < until
    ]
    return (
        *_of_reflashes(desk, asked),
        *_came_in(desk, asked),
        MoneyLine(
            "Programming subscriptions that no reflash came of, of all time",
            len(unused),
            sum(one.price_minor for one in unused),
            "their price",
        ),
        MoneyLine(
            "Reflashes avoided: diagnosed first as advised, another cause found, of all time",
            avoided,
            avoided * _reflash_minor(desk),
            "at what a reflash costs by the shop's settings; overlaps with what the advice saved, so never "
            "add the two",
        ),
    )


@lead_or_owner
def money_by_way(desk: Desk, asked: ReportFilter) -> tuple[tuple[Way, tuple[MoneyLine, ...]], ...]:
    """The same of what each way's reflashes came to, without what is of the whole shop; empty where all was
    ever done here. The money of a repair order on which two ways had a reflash stands under both.
    """
    ways = reports.ways_of_reflashes(desk, asked)
    return tuple((way, _of_reflashes(desk, replace(asked, way=way))) for way in ways)


def _of_reflashes(desk: Desk, asked: ReportFilter) -> tuple[MoneyLine, ...]:
    return (*_comebacks(desk, asked), *_needless(needless_visits(desk, asked)))


def _comebacks(desk: Desk, asked: ReportFilter) -> list[MoneyLine]:
    """Whatever failures cost, in lines that add up; a line of nothing is left out."""
    costs = reports.counts_of(desk, asked).costs
    lines = [
        MoneyLine(f"Comebacks and other causes {how.value}", one.count, one.minor, _priced(one))
        for how, one in costs.by_kind.items()
        if one.count or how is HowFailed.IN_WINDOW
    ]
    if not (asked.since or asked.until or asked.make or asked.module or asked.way):
        count, minor = needless_store.of_no_reflash(desk.session, desk.shop.id, asked.as_of or desk.today)
        if count:
            lines.append(MoneyLine(OF_NO_REFLASH, count, minor, BORNE))
    count, minor = sum(one.count for one in lines), sum(one.amount_minor for one in lines)
    return [*lines, MoneyLine(ALL_COMEBACKS, count, minor, "the lines above", is_sum=True)]


def _came_in(desk: Desk, asked: ReportFilter) -> list[MoneyLine]:
    """What a period's comebacks cost by the day each was heard of; nothing where all days are asked for, or
    where only reflashes of some kind are: a comeback of no reflash has none.
    """
    if not (asked.since or asked.until) or asked.module or asked.way:
        return []
    as_of, _, wanted = reports.wanted_by(desk, asked)
    days = (asked.since or date.min, min(asked.until or as_of, as_of))
    count, minor = needless_store.heard_within(desk.session, desk.shop.id, *days, wanted.makes)
    return [MoneyLine(CAME_IN, count, minor, f"{BORNE}, by the day each was heard of{_OVERLAPS}")]


def _priced(one: Failures) -> str:
    missing = one.count - one.priced
    return f"{BORNE}; {missing:,} of {one.count:,} have no amount on file" if missing else BORNE


def _needless(visits: Sequence[NeedlessVisit]) -> list[MoneyLine]:
    """How many reflashes did not cure, and the money of their repair orders, each amount in one line."""
    reflashes, beside = sum(one.reflashes for one in visits), sum(one.with_other_work for one in visits)
    missing = sum(not one.money.rests_on for one in visits)
    agreed = sum(one.money.rests_on == "agreed" for one in visits)
    said = [f"{beside:,} of {reflashes:,} reflashes with other work in the same visit"] * bool(beside)
    said += [f"{agreed:,} of {len(visits):,} repair orders as agreed, at most so much"] * bool(agreed)
    said += [f"{missing:,} of {len(visits):,} have no amount on file"] * bool(missing)
    total = money_of(visits)
    parts = (("billed, and kept", "billed"), ("credited again", "credited"), ("borne by the shop", "borne"))
    lines = [
        MoneyLine(
            f"Reflashes that did not cure: {words}",
            sum(getattr(one.money, name) > 0 for one in visits),
            getattr(total, name),
            "repair orders, by payments and authorizations on file",
        )
        for words, name in parts
    ]
    every = sum(one.amount_minor for one in lines)
    words = "the lines above" + "".join(f"; {one}" for one in said)
    return [*lines, MoneyLine("All reflashes that did not cure", reflashes, every, words, is_sum=True)]


def _reflash_minor(desk: Desk) -> int:
    settings = settings_desk.current(desk).cost_settings(desk.shop.currency)
    return to_minor(
        costs.reflash(CandidateInHand(0, "", "", "", Grade.STRONG), settings).total, desk.shop.currency
    )
