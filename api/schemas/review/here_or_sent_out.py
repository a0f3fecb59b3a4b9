"""Here or sent out, by make, over the interface. Money is in whole units, expected and unrounded."""

from __future__ import annotations

from api.schemas.base import Out
from api.schemas.review.month import TurnedAwayOut
from kb.desk.review.here_or_sent_out.report import HereOrSentOut, MakeChoice
from kb.nouns.currency import to_major


class BreakEvenOut(Out):
    """Vehicles a year from which here costs less, with its interval; null: at no number."""

    vehicles: int | None
    low: int | None
    high: int | None


class CourseOut(Out):
    """buy, rent (access), rent_device (by the day) or send_out: expected cost a year, and the share of next
    years in which it is cheapest.
    """

    course: str
    cost_a_year: float
    cheapest_in: float


class MakeChoiceOut(Out):
    """A make: `vehicles` counted in `years`, `expected` a year, next year's number `between` two.
    `break_even` is null and `courses` empty where a price is missing. `cannot_tell`: too few vehicles; lean
    on nothing.
    """

    make: str
    vehicles: int
    years: float
    expected: float
    between: tuple[float, float]
    cannot_tell: bool
    break_even: BreakEvenOut | None
    courses: list[CourseOut]
    sent_out_way: str | None
    not_counted: list[str]


class HereOrSentOutOut(Out):
    """Most vehicles first; what was turned away or sent out in the last year, the most first."""

    makes: list[MakeChoiceOut]
    turned_away: list[TurnedAwayOut]
    would_keep_most: TurnedAwayOut | None


def here_or_sent_out_out(report: HereOrSentOut, currency: str) -> HereOrSentOutOut:
    return HereOrSentOutOut.of(report, makes=[_make(one, currency) for one in report.makes])


def _make(one: MakeChoice, currency: str) -> MakeChoiceOut:
    found, unit = one.cheapest, to_major(1, currency)
    costs = found.a_year_minor.items() if found else ()
    return MakeChoiceOut.of(
        one,
        courses=[
            CourseOut(course=name.value, cost_a_year=cost * unit, cheapest_in=found.chance[name])
            for name, cost in costs
            if found
        ],
        sent_out_way=one.sent_out.way.value if one.sent_out else None,
        not_counted=list(one.here.not_counted),
    )
