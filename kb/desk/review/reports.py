"""The owner's review: what each reflash really cured, with its uncertainty."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from kb.advice.planning import costs
from kb.desk import settings as settings_desk
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.update_names import counted_names
from kb.desk.bay.outcomes import counted as counted_desk
from kb.desk.bay.outcomes.counted import Counted, Selection
from kb.desk.context import Desk, lead_or_owner
from kb.desk.review import alarms as alarms_desk
from kb.errors import BadInput
from kb.nouns.advice_inputs import CandidateInHand
from kb.nouns.notes import Grade
from kb.nouns.outcomes import INTERVAL_LEVEL, NO_UPDATE, WindowRule
from kb.nouns.review.alarms import Alarm
from kb.nouns.review.reflash_report import ReflashReport, ReportRow, ToldUnasked
from kb.nouns.shop.ways import Way
from kb.outcomes.report_rows import AboutUpdates
from kb.outcomes.review import ReviewSettings, review
from kb.outcomes.worth_of_a_call import told_unasked
from kb.records.store.outcomes import outcome_counts as counts_store
from kb.records.store.outcomes.outcome_counts import CountsWanted
from kb.vehicle.families import fold


@dataclass(frozen=True, slots=True)
class ReportFilter:
    """What to count. `since` and `until` are days of the reflash, inclusive; None takes the shop's own.

    `way`: who did it, None for everybody.
    """

    window_days: int | None = None
    level: float = INTERVAL_LEVEL
    since: date | None = None
    until: date | None = None
    make: str = ""
    module: str = ""
    as_of: date | None = None
    way: Way | None = None


@dataclass(frozen=True, slots=True)
class NamedReport:
    """The report, and the number and title of each update in it by id (0: nobody named the update).

    `by_way`: each way's reflashes together, of the same choice; none where all was ever done here. `told`:
    how many failures the shop hears of unasked, by all its calls whatever was chosen.
    """

    report: ReflashReport
    names: Mapping[int, tuple[str, str]]
    told: ToldUnasked
    by_way: tuple[tuple[Way, ReportRow], ...] = ()


@lead_or_owner
def reflash_report(desk: Desk, asked: ReportFilter) -> NamedReport:
    """Rows by update. What updates are like in general stays the shop's, whatever make is asked for."""
    as_of = _check(desk, asked)
    revision = _revision(desk, asked, as_of)
    return desk.memory.recall("reflash report", revision, lambda: _report(desk, asked, as_of))


def _revision(desk: Desk, asked: ReportFilter, as_of: date) -> tuple[object, ...]:
    """Notes count as far as they are updates, or name what was reflashed."""
    topics = ("outcomes", "settings", "concerns" if asked.make else "outcomes")
    notes = updates_desk.on_file(desk), tuple(counted_names(desk).items())
    return (as_of, asked, *notes, *desk.up_to(*topics))


def counts_of(desk: Desk, asked: ReportFilter) -> Counted:
    """The counts that the rows of a report are made of."""
    as_of = _check(desk, asked)
    return counted_desk.count_chosen(desk, as_of, _rule(desk, asked), _selection(asked))


def wanted_by(desk: Desk, asked: ReportFilter) -> tuple[date, WindowRule, CountsWanted]:
    """The day, the window and the outcomes of a report, for those who read them themselves."""
    as_of, rule = _check(desk, asked), _rule(desk, asked)
    return as_of, rule, counted_desk.wanted_of(desk, as_of, rule, _selection(asked))


def _selection(asked: ReportFilter) -> Selection:
    return Selection(
        asked.since, asked.until, asked.make, asked.module, way=asked.way.value if asked.way else ""
    )


def _report(desk: Desk, asked: ReportFilter, as_of: date) -> NamedReport:
    rule = _rule(desk, asked)
    shop = counted_desk.count(desk, as_of, rule)
    in_time = counted_desk.count_chosen(desk, as_of, rule, Selection(asked.since, asked.until))
    shown = counts_of(desk, asked)
    settings = settings_desk.current(desk)
    names = counted_names(desk)
    about = AboutUpdates(
        titles={update: " ".join(filter(None, name)) for update, name in names.items()},
        numbers={update: number for update, (number, _) in names.items()},
        thresholds=_thresholds(desk, names),
        comeback_costs=shown.costs.by_update,
        alarms=alarms_desk.alarms(desk, as_of, rule),
    )
    how = ReviewSettings(asked.level, settings.prior(), shop.calls)
    whole = None if shown is in_time else in_time.counts
    report = review(shown.counts, as_of, shop=whole, settings=how, about=about)
    shop_row = replace(report.shop, comeback_cost=in_time.costs.total.minor)
    told = told_unasked(shop.counts, shop.calls, shop.silence)
    return NamedReport(replace(report, shop=shop_row), names, told, _by_way(desk, asked, as_of, in_time, how))


def _by_way(
    desk: Desk, asked: ReportFilter, as_of: date, in_time: Counted, how: ReviewSettings
) -> tuple[tuple[Way, ReportRow], ...]:
    """Each way's reflashes as if of one update; nothing where another way than here was never used."""
    rows = []
    for way in ways_of_reflashes(desk, asked):
        theirs = counts_of(desk, replace(asked, way=way))
        about = AboutUpdates(comeback_costs=theirs.costs.by_update)
        row = review(theirs.counts, as_of, shop=in_time.counts, settings=how, about=about).chosen
        rows += [(way, row)] if row else []
    return tuple(rows)


def ways_of_reflashes(desk: Desk, asked: ReportFilter) -> tuple[Way, ...]:
    """The ways asked for that were ever used; none where all was done here."""
    used = {Way(one) for one in counts_store.ways_used(desk.session, desk.shop.id)}
    return tuple(one for one in Way if used and one in used | {Way.HERE} and asked.way in (None, one))


@lead_or_owner
def standing_alarms(desk: Desk) -> tuple[tuple[str, Alarm], ...]:
    """Number (or title) and alarm of every update with one, the latest first; for the start page."""
    named = report_at_hand(desk)
    return tuple((row.called, alarm) for row, alarm in named.report.alarms) if named else ()


@lead_or_owner
def report_at_hand(desk: Desk) -> NamedReport | None:
    """The shop's own report for a page that is not about it.

    A shop too busy for exact days has it there only while its review is at hand: it takes too long.
    """
    if counts_store.how_many(desk.session, desk.shop.id) > counted_desk.EXACT_DAYS_TO:
        held = desk.memory.revision_of("reflash report")
        if held != _revision(desk, ReportFilter(), desk.today):
            return None
    return reflash_report(desk, ReportFilter())


@lead_or_owner
def updates_counted(desk: Desk) -> tuple[tuple[int, str], ...]:
    """Id and name of every update with a reflash, by number."""
    named = {one: name for one, name in counted_names(desk).items() if one != NO_UPDATE}
    return tuple(
        sorted(((one, " ".join(filter(None, name))) for one, name in named.items()), key=lambda pair: pair[1])
    )


@lead_or_owner
def has_a_row(desk: Desk, note_id: int) -> bool:
    """Whether an installed reflash counts for this note, without listing every other update."""
    ids = updates_desk.on_file(desk).counting_for(note_id)
    return bool(counts_store.newest_with(desk.session, desk.shop.id, ids, desk.today, 1))


@lead_or_owner
def makes_and_modules(desk: Desk) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Makes and modules with a programming event, each in one writing, for choosing rows of a report."""

    def look() -> tuple[tuple[str, ...], tuple[str, ...]]:
        makes, modules = counts_store.names_programmed(desk.session, desk.shop.id)
        return _in_one_writing(makes), _in_one_writing(modules)

    return desk.memory.recall("programmed", desk.up_to("outcomes", "concerns"), look)


def _in_one_writing(names: Iterable[str]) -> tuple[str, ...]:
    return tuple({fold(name): name for name in sorted(names, reverse=True) if name}.values())[::-1]


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
