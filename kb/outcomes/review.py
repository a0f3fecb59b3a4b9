"""The owner's report on reflashes: one row per update, one for the shop, and the sentences they bear."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial

import numpy as np

from kb.nouns.outcomes import INTERVAL_LEVEL, NO_UPDATE
from kb.nouns.review.reflash_report import ReflashReport
from kb.outcomes.alarms.report_message import Review, message
from kb.outcomes.best_and_worst import rank
from kb.outcomes.cure_rates import both_readings, cure_rates, standing_counts
from kb.outcomes.report_rows import AboutUpdates, Figures, report_rows, shop_row
from kb.outcomes.shrinkage import CureChances, cannot_tell_yet, heard_of
from kb.outcomes.silence import FINE, UNTOLD, silence_of, silent_counts
from kb.outcomes.tally import Tally, day_counts, updates_of, without_months
from kb.outcomes.told_unasked import Calls
from kb.outcomes.updates_in_general import HyperPrior


@dataclass(frozen=True, slots=True)
class ReviewSettings:
    """Level of the intervals, the shop's setting of what updates are like, and what its calls found."""

    level: float = INTERVAL_LEVEL
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

    chances = partial(heard_of, own, of_shop, np.searchsorted(everyone, shown), prior=how.prior)
    rates = cure_rates(*both_readings(part, shown), how.level)
    figures = Figures(tuple(shown.tolist()), standing_counts(part, shown), rates, chances(silence))
    rows = report_rows(figures, beside, how.level)
    of_all = shop_row(whole, beside, how.level, (silence, how.prior))
    unsure = cannot_tell_yet(day_counts(whole, everyone))
    named = np.flatnonzero(shown != NO_UPDATE)
    limits = np.array([beside.thresholds.get(update, np.nan) for update in figures.ids])[named]
    ends = (chances(replace(silence, told=np.array([told]))) for told in (UNTOLD, FINE))
    untold, fine = (CureChances(one.edges, one.mass[named]) for one in ends)
    about_shop = Review(as_of, counts.window_days, of_all.cure_rate, unsure)
    said = message([rows[i] for i in named], rank(untold, fine, how.level, limits), about_shop)
    unnamed = tuple(row for row in rows if row.update == NO_UPDATE)
    chosen = None if part is whole else shop_row(part, beside, how.level, (silence, how.prior))
    every = unnamed + said.rows
    return ReflashReport(as_of, counts.window_days, how.level, of_all, every, unsure, said.sentences, chosen)
