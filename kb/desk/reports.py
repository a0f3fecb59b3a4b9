"""The owner's review: what each reflash really cured, with its uncertainty."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from kb.advice import costs
from kb.desk import counted as counted_desk
from kb.desk import settings as settings_desk
from kb.desk.context import Desk, lead_or_owner
from kb.desk.counted import Counted, Selection
from kb.desk.observed import NO_UPDATE
from kb.errors import BadInput, NotFound
from kb.nouns.in_hand import CandidateInHand
from kb.nouns.notes import Grade
from kb.nouns.outcomes import Alarm, ReflashReport, WindowRule
from kb.outcomes.hyper import HyperPrior
from kb.outcomes.review import ReviewSettings, review
from kb.outcomes.rows import AboutUpdates
from kb.outcomes.watch import watch
from kb.records.store import case as case_store
from kb.records.store import outcomes as store
from kb.records.tables import WatchAcknowledged

NOT_NAMED = ("not named", "Reflashes whose update nobody named")


@dataclass(frozen=True, slots=True)
class ReportFilter:
    """What to count. `since` and `until` are days of the reflash, inclusive; None takes the shop's own."""

    window_days: int | None = None
    level: float = 0.9
    since: date | None = None
    until: date | None = None
    make: str = ""
    module: str = ""
    as_of: date | None = None


@dataclass(frozen=True, slots=True)
class NamedReport:
    """The report, and the number and title of each update in it by id (0: nobody named the update)."""

    report: ReflashReport
    names: Mapping[int, tuple[str, str]]


@lead_or_owner
def reflash_report(desk: Desk, asked: ReportFilter) -> NamedReport:
    """Rows by update. What updates are like in general stays the shop's, whatever make is asked for."""
    as_of = _check(desk, asked)
    topics = ("outcomes", "notes", "notes_removed", "settings", "concerns" if asked.make else "outcomes")
    revisions = desk.revisions()
    revision = (as_of, asked, *(revisions[topic] for topic in topics))
    return desk.memory.recall("reflash report", revision, lambda: _report(desk, asked, as_of))


def counts_of(desk: Desk, asked: ReportFilter) -> Counted:
    """The counts that the rows of a report are made of."""
    as_of = _check(desk, asked)
    chosen = Selection(asked.since, asked.until, asked.make, asked.module)
    return counted_desk.count(desk, as_of, _rule(desk, asked), chosen)


def names_of(desk: Desk) -> dict[int, tuple[str, str]]:
    """Number and title of every update that is counted."""
    return {NO_UPDATE: NOT_NAMED, **store.numbers_and_titles(desk.session, desk.shop.id)}


def _report(desk: Desk, asked: ReportFilter, as_of: date) -> NamedReport:
    rule = _rule(desk, asked)
    in_time = counted_desk.count(desk, as_of, rule, Selection(asked.since, asked.until))
    shown = counts_of(desk, asked)
    settings = settings_desk.current(desk)
    names = names_of(desk)
    about = AboutUpdates(
        titles={update: " ".join(filter(None, name)) for update, name in names.items()},
        thresholds=_thresholds(desk, names),
        comeback_costs=shown.costs,
        alarms=alarms(desk, as_of, rule),
    )
    prior = HyperPrior(
        settings.prior_cured_in_10, settings.prior_weight, settings.spread_center, settings.spread_sd
    )
    report = review(
        shown.counts,
        as_of,
        shop=None if shown is in_time else in_time.counts,
        settings=ReviewSettings(asked.level, prior),
        about=about,
    )
    shop_row = replace(report.shop, comeback_cost=sum(in_time.costs.values()))
    said = report.sentences if report.cannot_tell_yet else (*report.sentences, *_changed(report, names))
    return NamedReport(replace(report, shop=shop_row, sentences=said), names)


def _changed(report: ReflashReport, names: Mapping[int, tuple[str, str]]) -> list[str]:
    """The newest alarm, in a sentence of its own."""
    alarms = [(row.alarm, names[row.update or 0][0]) for row in report.rows if row.alarm is not None]
    newest = sorted(alarms, key=lambda one: one[0].since)[-1:]
    return [f"Changed: {number}. {alarm.sentence}" for alarm, number in newest]


@lead_or_owner
def updates_counted(desk: Desk) -> tuple[tuple[int, str], ...]:
    """Id and name of every update with a reflash, by number."""
    named = store.numbers_and_titles(desk.session, desk.shop.id)
    return tuple(
        sorted(((one, " ".join(filter(None, name))) for one, name in named.items()), key=lambda pair: pair[1])
    )


@lead_or_owner
def acknowledge_alarm(desk: Desk, update_id: int, remark: str) -> None:
    """Answer an alarm; the watch of that update starts anew tomorrow."""
    if update_id not in store.numbers_and_titles(desk.session, desk.shop.id):
        raise NotFound(f"No reflash is counted for update {update_id}.")
    row = WatchAcknowledged(
        shop_id=desk.shop.id, update_id=update_id, on=desk.today, by=desk.actor.name, remark=remark.strip()
    )
    case_store.add(desk.session, [row])
    desk.bump("outcomes")
    desk.note_down("acknowledged alarm", "note", update_id, remark=row.remark)


def alarms(desk: Desk, as_of: date, rule: WindowRule) -> Mapping[int, Alarm]:
    """More comebacks than bad luck explains, by update; remembered until an outcome is added."""
    key = (desk.revisions()["outcomes"], desk.revisions()["notes"], as_of, rule)

    def look() -> dict[int, Alarm]:
        acknowledged = store.acknowledged(desk.session, desk.shop.id)
        return watch(counted_desk.count(desk, as_of, rule).sightings(as_of), as_of, acknowledged)

    return desk.memory.recall("alarms", key, look)


def _check(desk: Desk, asked: ReportFilter) -> date:
    wrong = {}
    if not 0.5 <= asked.level < 1:
        wrong["level"] = "The level is from 0.5 to below 1, such as 0.9."
    if asked.window_days is not None and not 1 <= asked.window_days <= 3650:
        wrong["window_days"] = "The window is 1 to 3,650 days."
    if asked.since and asked.until and asked.since > asked.until:
        wrong["from"] = "The first day is after the last one."
    if wrong:
        raise BadInput(" ".join(wrong.values()), fields=wrong)
    return asked.as_of or desk.today


def _rule(desk: Desk, asked: ReportFilter) -> WindowRule:
    own = settings_desk.current(desk).window_rule()
    return own if asked.window_days is None else replace(own, days=asked.window_days)


def _thresholds(desk: Desk, updates: Iterable[int]) -> dict[int, float]:
    """p* by the shop's settings: the chance above which reflashing first costs less."""
    settings = settings_desk.current(desk).cost_settings(desk.shop.currency)
    rework, diagnosis = costs.rework(settings).total, costs.diagnosis(settings).total
    usual = CandidateInHand(0, "", "", "", Grade.STRONG)
    reflash = costs.reflash(usual, settings).total
    threshold = costs.reflash_threshold(reflash, rework, diagnosis)
    return {update: threshold for update in updates if update != NO_UPDATE}
