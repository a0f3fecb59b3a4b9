"""The owner's review: what each reflash really cured, with its uncertainty."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from kb.advice import costs
from kb.desk import observed as observed_desk
from kb.desk import settings as settings_desk
from kb.desk.context import Desk, lead_or_owner
from kb.desk.observed import NO_UPDATE, Observed
from kb.errors import BadInput, NotFound
from kb.nouns.in_hand import CandidateInHand
from kb.nouns.notes import Grade
from kb.nouns.outcomes import Alarm, ReflashReport, WindowRule
from kb.outcomes.hyper import HyperPrior
from kb.outcomes.review import ReviewSettings, review
from kb.outcomes.rows import AboutUpdates
from kb.outcomes.sightings import sightings_of
from kb.outcomes.tally import Tally, tally
from kb.outcomes.watch import watch
from kb.records.store import case as case_store
from kb.records.store import outcomes as store
from kb.records.tables import WatchAcknowledged
from kb.vehicle.coverage import fold

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
    rule = _rule(desk, asked)
    everything = [one for some in observed_desk.gather(desk, as_of, rule).values() for one in some]
    in_time = [one for one in everything if _in_time(one, asked)]
    shown = [one for one in in_time if _asked_for(one, asked)]
    settings = settings_desk.current(desk)
    names = {NO_UPDATE: NOT_NAMED, **store.numbers_and_titles(desk.session, desk.shop.id)}
    about = AboutUpdates(
        titles={update: " ".join(filter(None, name)) for update, name in names.items()},
        thresholds=_thresholds(desk, names),
        comeback_costs=_costs(shown),
        alarms=alarms(desk, as_of, rule),
    )
    prior = HyperPrior(
        settings.prior_cured_in_10, settings.prior_weight, settings.spread_center, settings.spread_sd
    )
    report = review(
        _tally(shown, rule),
        as_of,
        shop=_tally(in_time, rule),
        settings=ReviewSettings(asked.level, prior),
        about=about,
    )
    shop_row = replace(report.shop, comeback_cost=sum(one.cost_minor for one in in_time))
    return NamedReport(replace(report, shop=shop_row), names)


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
        observed = observed_desk.gather(desk, as_of, rule)
        seen = [one.observation for some in observed.values() for one in some]
        named = [one for one in seen if one.update_id != NO_UPDATE]
        acknowledged = store.acknowledged(desk.session, desk.shop.id)
        return watch(sightings_of(named, rule.days, as_of), as_of, acknowledged)

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


def _in_time(one: Observed, asked: ReportFilter) -> bool:
    day = one.facts.reflashed_on
    return (asked.since is None or day >= asked.since) and (asked.until is None or day <= asked.until)


def _asked_for(one: Observed, asked: ReportFilter) -> bool:
    make = not asked.make or fold(one.make) == fold(asked.make)
    return make and (not asked.module or fold(one.module) == fold(asked.module))


def _tally(some: Iterable[Observed], rule: WindowRule) -> Tally:
    return tally([one.observation for one in some], rule.days)


def _costs(some: Iterable[Observed]) -> dict[int, int]:
    spent: Counter[int] = Counter()
    for one in some:
        spent[one.facts.update_id] += one.cost_minor
    return dict(spent)


def _thresholds(desk: Desk, updates: Iterable[int]) -> dict[int, float]:
    """p* by the shop's settings: the chance above which reflashing first costs less."""
    settings = settings_desk.current(desk).cost_settings(desk.shop.currency)
    rework, diagnosis = costs.rework(settings).total, costs.diagnosis(settings).total
    usual = CandidateInHand(0, "", "", "", Grade.STRONG)
    reflash = costs.reflash(usual, settings).total
    threshold = costs.reflash_threshold(reflash, rework, diagnosis)
    return {update: threshold for update in updates if update != NO_UPDATE}
