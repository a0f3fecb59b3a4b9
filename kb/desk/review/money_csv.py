"""The tables about money as rows of a CSV file; amounts in whole units, days ISO dates."""

from __future__ import annotations

from kb.desk.context import Desk, lead_or_owner
from kb.desk.csv_text import Table
from kb.desk.review import advice_report, money_report
from kb.desk.review import needless_reflashes as needless_desk
from kb.desk.review.reports import ReportFilter
from kb.desk.shop import subscription_use
from kb.nouns.currency import to_major


@lead_or_owner
def money(desk: Desk, asked: ReportFilter) -> Table:
    """Comebacks, needless reflashes, subscriptions, and what was avoided."""
    head = ("what", "count", "amount", "rests_on", "is_sum")
    return head, [
        (one.what, one.count, to_major(one.amount_minor, desk.shop.currency), one.rests_on, one.is_sum)
        for one in money_report.money_report(desk, asked)
    ]


@lead_or_owner
def needless(desk: Desk, asked: ReportFilter) -> Table:
    """A row for each repair order; `rests_on` empty: nothing is on file, and then no amount is given."""
    head = (
        *("concerns", "vin", "reflashed_on", "updates", "reflashes", "with_other_work"),
        *("billed", "credited", "borne", "rests_on"),
    )
    visits = needless_desk.needless_visits(desk, asked)
    lines = needless_desk.lines_of(desk, visits)
    rows = []
    for one in visits:
        told = [lines[each] for each in one.concern_ids if each in lines]
        refs, vins = ", ".join(line.ref for line in told), {line.vehicle.vin: None for line in told}
        money = (one.money.billed, one.money.credited, one.money.borne)
        amounts = [to_major(each, desk.shop.currency) if one.money.rests_on else None for each in money]
        facts = (one.first_on, ", ".join(one.updates), one.reflashes, one.with_other_work)
        rows.append((refs, ", ".join(vins), *facts, *amounts, one.money.rests_on))
    return head, rows


@lead_or_owner
def subscriptions(desk: Desk, _asked: ReportFilter) -> Table:
    """A row for each subscription."""
    used = subscription_use.subscription_report(desk).used
    head = (
        *("make", "plan", "bought_on", "ends_on", "price", "modules_programmed", "concerns"),
        *("nothing_newer", "bought_for_nothing", "bought_while_one_ran"),
    )
    return head, [
        (
            *(said.make, said.plan, said.bought_on, said.ends_on),
            to_major(said.price_minor, desk.shop.currency),
            *(one.modules, one.concerns, one.nothing_newer, one.for_nothing, one.while_one_ran),
        )
        for one in used
        for said in [one.subscription.content]
    ]


@lead_or_owner
def by_make(desk: Desk, _asked: ReportFilter) -> Table:
    """A row for each make."""
    head = (
        *("make", "bought", "cost", "modules_programmed", "concerns", "bought_for_nothing"),
        *("bought_while_one_ran", "cost_while_one_ran"),
    )
    return head, [
        (
            *(one.make, one.bought, to_major(one.price_minor, desk.shop.currency)),
            *(one.modules, one.concerns, one.for_nothing, len(one.while_one_ran)),
            to_major(one.while_one_ran_minor, desk.shop.currency),
        )
        for one in subscription_use.subscription_report(desk).by_make
    ]


@lead_or_owner
def next_time(desk: Desk, _asked: ReportFilter) -> Table:
    """A row for each make and question: the last year's days, and the concerns that wait."""
    head = ("make", "for", "days", "cheapest", "cost", "bought", "paid", "paid_until")
    currency = desk.shop.currency
    return head, [
        (
            *(one.make, question, answer.use_days, bought, to_major(answer.cheapest.cost_minor, currency)),
            *((one.spent.count, to_major(one.spent.price_minor, currency)) if of_last_year else (None, None)),
            one.paid_until,
        )
        for one in subscription_use.subscription_report(desk).next_time
        for question, answer, of_last_year in (
            ("days of the last year", one.answer, True),
            ("concerns that wait, on one day", one.together, False),
            ("concerns that wait, on a day each", one.apart, False),
        )
        if answer is not None
        for bought in [", ".join(f"{count} x {name}" for name, count in answer.cheapest.bought)]
    ]


@lead_or_owner
def savings(desk: Desk, _asked: ReportFilter) -> Table:
    """What the advice saved against each habit."""
    head = ("against", "concerns", "saved", "low", "high")
    told = advice_report.advice_report(desk)
    habits = (("reflash first", told.against_reflash_first), ("diagnose first", told.against_diagnose_first))
    return head, [(name, one.concerns, one.saved, *one.interval) for name, one in habits]
