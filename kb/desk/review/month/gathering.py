"""Everything on file that some days are told from, in a fixed handful of statements however much it is."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from sqlalchemy import or_
from sqlmodel import col

from kb.advice.before_plan.ways_open import listed_for
from kb.desk.bay.outcomes import observed as observed_desk
from kb.desk.context import Desk
from kb.desk.shop import equipment, plan_offers, subscriptions
from kb.desk.shop.equipment import EquipmentKind, EquipmentView
from kb.desk.shop.subscriptions import SubscriptionKind, SubscriptionView
from kb.outcomes.story import Story
from kb.records.store.outcomes import month as store
from kb.records.store.outcomes import stories as stories_store
from kb.records.store.outcomes.month import CameBack, PaidOn, Programmed, SentAway
from kb.records.tables import Outcome
from kb.vehicle.families import fold

Span = tuple[date, date]


@dataclass(frozen=True, slots=True)
class Gathered:
    """What was done, paid and sent away, and what the shop has for it.

    `names`: each make, folded, as it is written; `offered`: makes with a plan on offer, folded.
    """

    programmed: tuple[Programmed, ...]
    paid: tuple[PaidOn, ...]
    came_back: tuple[CameBack, ...]
    away: tuple[SentAway, ...]
    bought: tuple[SubscriptionView, ...]
    equipment: tuple[EquipmentView, ...]
    offered: frozenset[str]
    stories: Mapping[int, tuple[Story, ...]]
    names: Mapping[str, str]

    def make(self, written: str) -> str:
        """One writing of each make."""
        return self.names.get(fold(written), written)

    def device_listed(self, make: str) -> bool:
        """Whether a device in use is listed by the manufacturer, as somebody looked it up."""
        devices = (one for one in self.equipment if one.content.kind is EquipmentKind.PASS_THRU_DEVICE)
        return bool(listed_for(make, [one.content.validated for one in devices if not one.retired]))

    def access(self, make: str, on: date) -> bool:
        """Whether a programming subscription ran on the day, or a plan could have been bought."""
        return fold(make) in self.offered or any(
            one.runs_on(on) for one in self.bought if fold(one.content.make) == fold(make)
        )


def gather(desk: Desk, since: date, until: date, told: Iterable[Span] = ()) -> Gathered:
    """Of the days from `since` to `until`; the stories of what was reflashed within the spans `told`."""
    shop = desk.shop
    programmed = store.programmed(desk.session, shop.id, since, until)
    paid = store.paid(desk.session, shop.id, since, until, shop.zone)
    back = store.came_back(desk.session, shop.id, since, until)
    away = store.sent_away(desk.session, shop.id, since, until)
    every = subscriptions.list_subscriptions(desk)
    bought = tuple(one for one in every if one.content.kind is SubscriptionKind.PROGRAMMING)
    offers = plan_offers.list_plan_offers(desk)
    written = [one.make for some in (programmed, paid, back, away) for one in some]
    written += [one.content.make for one in bought] + [one.content.make for one in offers]
    return Gathered(
        tuple(programmed),
        tuple(paid),
        tuple(back),
        tuple(away),
        bought,
        equipment.list_equipment(desk, retired_too=True),
        frozenset(fold(one.content.make) for one in offers),
        _stories(desk, tuple(told)),
        _as_written(written),
    )


def _stories(desk: Desk, spans: tuple[Span, ...]) -> dict[int, tuple[Story, ...]]:
    """By concern, of those that were reflashed within the spans."""
    if not spans:
        return {}
    within = or_(*(col(Outcome.reflashed_on).between(*span) for span in spans))
    chosen = stories_store.chosen(desk.session, desk.shop.id, within)
    return observed_desk.stories_of(desk, (concern_id for _, concern_id in chosen))


def _as_written(makes: Iterable[str]) -> dict[str, str]:
    """The writing used most for each make, folded."""
    counts: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for one in makes:
        counts[fold(one)][one.strip()] += 1
    return {make: max(some, key=lambda one: (some[one], one)) for make, some in counts.items()}
