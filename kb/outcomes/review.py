"""The owner's report on reflashes: one row per update, one for the shop, and the sentences they bear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np

from kb.nouns.outcomes import ReflashReport, ReportRow
from kb.outcomes.calling import told_unasked
from kb.outcomes.hyper import HyperPrior
from kb.outcomes.ranking import Ranking, rank
from kb.outcomes.rates import both_readings, cure_rates, standing_counts
from kb.outcomes.rows import AboutUpdates, Figures, report_rows, shop_row
from kb.outcomes.shrinkage import (
    ENOUGH_FOLLOWED,
    CureChances,
    Places,
    cannot_tell_yet,
    heard_of,
)
from kb.outcomes.silence import FINE, UNTOLD, Silence, SilentCounts, silence_of, silent_counts
from kb.outcomes.tally import Tally, day_counts, updates_of, without_months
from kb.outcomes.told import Calls

FEW = 30
"""Known answers below which a sentence says that they are few."""
NO_UPDATE = 0
"""The id under which reflashes of no named update are counted; no sentence is of it."""


@dataclass(frozen=True, slots=True)
class ReviewSettings:
    """Level of the intervals, the shop's setting of what updates are like, and what its calls found."""

    level: float = 0.9
    prior: HyperPrior = field(default_factory=HyperPrior)
    calls: Calls = field(default_factory=Calls)


def review(
    counts: Tally,
    as_of: date,
    *,
    shop: Tally | None = None,
    settings: ReviewSettings | None = None,
    about: AboutUpdates | None = None,
) -> ReflashReport:
    """The report: rows from `counts`; the shop's row and what updates are like from `shop`, else `counts`.

    `shop` holds at least the reflashes of `counts`. Raises BadInput for a level outside 0..1.
    """
    beside, how = about or AboutUpdates(), settings or ReviewSettings()
    part = without_months(counts)
    whole = part if shop is None else without_months(shop)
    everyone, shown = updates_of(whole), updates_of(part)
    silence = silence_of(whole, how.calls)
    of_shop = silent_counts(whole, everyone)
    own = of_shop if part is whole else silent_counts(part, shown)
    where = np.searchsorted(everyone, shown)
    chances = heard_of(own, of_shop, where, silence, how.prior)
    rates = cure_rates(*both_readings(part, shown), how.level)
    figures = Figures(tuple(shown.tolist()), standing_counts(part, shown), rates, chances)
    rows = report_rows(figures, beside, how.level)
    unsure = cannot_tell_yet(day_counts(whole, everyone))
    limits = np.array([beside.thresholds.get(update, np.nan) for update in figures.ids])
    named = np.flatnonzero(shown != NO_UPDATE)
    untold, fine = _ends(own, of_shop, where, silence, how, named)
    ranking = rank(untold, fine, how.level, limits[named])
    return ReflashReport(
        as_of=as_of,
        window_days=counts.window_days,
        level=how.level,
        shop=shop_row(whole, beside, how.level, (silence, how.prior)),
        rows=rows,
        cannot_tell_yet=unsure,
        told_unasked=told_unasked(whole, how.calls, silence),
        sentences=() if unsure else tuple(_sentences([rows[i] for i in named], ranking)),
        chosen=None if part is whole else shop_row(part, beside, how.level, (silence, how.prior)),
    )


def _ends(
    own: SilentCounts, shop: SilentCounts, where: Places, silence: Silence, how: ReviewSettings, named: Places
) -> tuple[CureChances, CureChances]:
    """Chances of the named updates were nothing told unasked, and were everything."""

    def were(told: float) -> CureChances:
        one = heard_of(own, shop, where, replace(silence, told=np.array([told])), how.prior)
        return CureChances(one.edges, one.mass[named])

    return were(UNTOLD), were(FINE)


def _sentences(rows: Sequence[ReportRow], ranking: Ranking) -> list[str]:
    said = []
    best, worst = (_followed_enough(rows, i) for i in (ranking.best, ranking.worst))
    if best is not None and worst is not None and best is not worst and _alike(best, worst):
        best = worst = None
    if best is not None:
        said.append(f"Cures best: {_name(best)}. {_told(best)}")
    if worst is not None and worst is not best:
        said.append(f"Cures worst: {_name(worst)}. {_told(worst)}")
    said += [
        f"Stop selling without more diagnosis: {_name(rows[i])}. It cures too seldom to go first."
        for i in ranking.stop_selling
    ]
    if rows and not ranking.stop_selling:
        said.append("No update is certain enough yet to stop selling it without more diagnosis.")
    return said


def _followed_enough(rows: Sequence[ReportRow], place: int | None) -> ReportRow | None:
    """The row, once as many of its vehicles have an answer as the shop needs before anything is said."""
    if place is None:
        return None
    row = rows[place]
    known = row.followed_to_window + row.failed_at_road_test + row.comebacks
    return row if known >= ENOUGH_FOLLOWED else None


def _alike(best: ReportRow, worst: ReportRow) -> bool:
    """Each may well be as good as the other: neither bar is clear of the other's rate."""
    return (
        best.shrunken_interval[0] <= worst.shrunken_rate or worst.shrunken_interval[1] >= best.shrunken_rate
    )


def _name(row: ReportRow) -> str:
    return row.title or f"update {row.update}"


def _told(row: ReportRow) -> str:
    """The counts first, and why the rate is not theirs; the rate never without its ends."""
    rate, low, high = (round(100 * one) for one in (row.shrunken_rate, *row.shrunken_interval))
    failed = row.failed_at_road_test + row.comebacks
    counts = [f"{row.followed_to_window:,} cured", f"{failed:,} not"]
    counts += [f"{row.in_window:,} waiting"] * bool(row.in_window)
    counts += [f"{row.overdue:,} not asked"] * bool(row.overdue)
    few = row.followed_to_window + failed < FEW
    why = "So few can be luck: the best guess is" if few else "The best guess is"
    return f"{', '.join(counts)}. {why} {rate} of 100, very likely {low} to {high}."
