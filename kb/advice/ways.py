"""Who programs a candidate's module: what each way costs for this vehicle, and which is taken.

| way                       | costs                                            | allowed                  |
|---------------------------|--------------------------------------------------|--------------------------|
| here                      | work, relearns, the risk of failure; the fee of  | a device is listed for   |
|                           | a subscription where none runs                   | the make, somebody is    |
|                           |                                                  | signed off               |
| mobile programmer, dealer | the price asked, a part that goes in with the    | always                   |
|                           | software, the days that the vehicle is away      |                          |
| dealer, free              | the same                                         | with coverage on record  |

What nobody entered (no listing of any device, no word on sign-offs) forbids nothing. A price covers what
whoever asks it does: its relearns, and a module that it loses. The cheapest allowed way is taken, of equal
ones the quicker, then here. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence

from kb.advice.planning import costs
from kb.nouns.advice_inputs import CandidateInHand
from kb.nouns.advice_settings import CostSettings
from kb.nouns.shop.ways import AWAY, Way, WayCost, WayOffer, WaysInHand

NOTHING_OPEN = "no open recall or coverage is on record"
NO_SUBSCRIPTION = "no subscription running"


def ways_of(
    candidate: CandidateInHand, settings: CostSettings, free_because: str = ""
) -> tuple[WayCost, ...]:
    """Each way with what it costs, the one to take first, then as dear as they are; forbidden ones last.

    `free_because` is why the dealer may do it free, empty where nothing on record says so. Empty where no
    price of another way is kept. Where every way is forbidden, here comes first.
    """
    asked = candidate.ways
    if asked is None or not asked.offers:
        return ()
    here = _here(candidate, asked, settings)
    every = (here, *(_away(one, asked, settings, free_because) for one in asked.offers))
    return tuple(sorted(every, key=_rank))


def _rank(one: WayCost) -> tuple[bool, float, int, int]:
    order = (Way.HERE, *AWAY).index(one.way)
    if one.is_allowed:
        return False, round(one.total, 9), one.days, order
    return True, float(order), 0, 0


def _here(candidate: CandidateInHand, asked: WaysInHand, settings: CostSettings) -> WayCost:
    work, fee = costs.reflash(candidate, settings), costs.subscription(settings)
    whole = costs.added("", (work, fee))
    why_not = ""
    if asked.listed is False:
        why_not = f"no device here is listed for {asked.make}"
    elif asked.signed_off and asked.signed_off.is_held_back:
        why_not = f"nobody here is signed off for {asked.make}"
    remark = NO_SUBSCRIPTION if fee.total else ""
    return WayCost(Way.HERE, whole.total, whole.customer, whole.shop, work.total, 0, why_not, remark)


def _away(offer: WayOffer, asked: WaysInHand, settings: CostSettings, free_because: str) -> WayCost:
    """The vehicle's days are the shop's to bear: a bay taken, a customer without a car."""
    whole = costs.added(
        "",
        (
            costs.split("price and part", offer.price + asked.part, settings.customer_reflash),
            costs.split("days away", offer.days * settings.vehicle_day, 0.0),
        ),
    )
    free = offer.way is Way.DEALER_FREE
    return WayCost(
        offer.way,
        whole.total,
        whole.customer,
        whole.shop,
        offer.price,
        offer.days,
        NOTHING_OPEN if free and not free_because else "",
        free_because if free else "",
        offer.asked_on,
        offer.asked_of,
        offer.is_old,
    )


def way_of(ways: Sequence[WayCost]) -> Way:
    """The way that is taken."""
    return ways[0].way if ways else Way.HERE


def offers_for(offers: Sequence[tuple[str, WayOffer]], module: str) -> tuple[WayOffer, ...]:
    """Of (module as one writing, offer) the one of each way that holds for a module: its own, else any's."""
    found: dict[Way, WayOffer] = {}
    for of, offer in sorted(offers, key=lambda one: one[0] != ""):
        if of in ("", module):
            found[offer.way] = offer
    return tuple(found[way] for way in AWAY if way in found)
