"""What comebacks, needless reflashes and unused subscriptions cost, and what was avoided."""

from __future__ import annotations

from dataclasses import dataclass

from kb.advice import costs
from kb.desk import reports
from kb.desk import settings as settings_desk
from kb.desk.context import Desk, lead_or_owner
from kb.desk.reports import ReportFilter
from kb.desk.subscription_use import subscription_report
from kb.nouns.currency import to_minor
from kb.nouns.in_hand import CandidateInHand
from kb.nouns.notes import Grade
from kb.outcomes.rates import standing_counts
from kb.outcomes.tally import updates_of
from kb.records.store import subscription_use as store


@dataclass(frozen=True, slots=True)
class MoneyLine:
    """How often, and what it came to in minor units; `rests_on` says in words where the amount is from."""

    what: str
    count: int
    amount_minor: int
    rests_on: str


@lead_or_owner
def money_report(desk: Desk, asked: ReportFilter) -> tuple[MoneyLine, ...]:
    """The reflashes that are asked for, other work in the same visit apart.

    Subscriptions and avoided reflashes are of the whole shop and all time, up to the day of the report.
    """
    shown = reports.counts_of(desk, asked)
    stand = standing_counts(shown.counts, updates_of(shown.counts))
    comebacks = int(stand.comebacks.sum())
    needless = comebacks + int(stand.failed_at_road_test.sum())
    each = _reflash_minor(desk)
    until = min(asked.as_of or desk.today, desk.today)
    avoided = store.avoided(desk.session, desk.shop.id, until)
    unused = [
        one.subscription.content
        for one in subscription_report(desk).used
        if one.for_nothing and one.subscription.content.ends_on < until
    ]
    usual = "at what a reflash costs by the shop's settings"
    return (
        MoneyLine("Comebacks", comebacks, sum(shown.costs.values()), "what the shop bore, as recorded"),
        MoneyLine(
            "Reflashes that did not cure, these comebacks among them",
            needless,
            needless * each,
            f"{usual}; the comebacks of the line above are in this count too",
        ),
        MoneyLine(
            "Programming subscriptions that no reflash came of, of all time",
            len(unused),
            sum(one.price_minor for one in unused),
            "their price",
        ),
        MoneyLine(
            "Reflashes avoided: diagnosed first as advised, another cause found, of all time",
            avoided,
            avoided * each,
            f"{usual}; overlaps with what the advice saved, so never add the two",
        ),
    )


def _reflash_minor(desk: Desk) -> int:
    settings = settings_desk.current(desk).cost_settings(desk.shop.currency)
    return to_minor(
        costs.reflash(CandidateInHand(0, "", "", "", Grade.STRONG), settings).total, desk.shop.currency
    )
