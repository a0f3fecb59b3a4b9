"""What decides who may program each candidate's module: prices asked, equipment, sign-offs, coverage."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from kb.advice.before_plan.ways_open import listed_for
from kb.desk.bay.advice.candidates_in_hand import part_minor
from kb.desk.bay.concern import concern_costs
from kb.desk.context import Desk
from kb.desk.shop import equipment, sign_offs, way_prices
from kb.nouns.advice import CandidateInHand
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.currency import to_major
from kb.nouns.shop.ways import WaysInHand
from kb.vehicle.kinds_of_work import kinds_of_work


def with_ways(
    desk: Desk, file: ConcernFile, candidates: Sequence[CandidateInHand]
) -> tuple[CandidateInHand, ...]:
    """The same candidates with the ways of each; none where the shop keeps no price for the make."""
    return tuple(replace(one, ways=_ways(desk, file, one)) for one in candidates)


def _ways(desk: Desk, file: ConcernFile, candidate: CandidateInHand) -> WaysInHand | None:
    make = file.vehicle.make
    offers = way_prices.offers_of(desk, make, candidate.module)
    if not offers:
        return None
    settings = concern_costs.settings_on(desk, file.cost_overrides)[0]
    replaced = file.has_fault("module_original")
    return WaysInHand(
        make,
        offers,
        listed_for(make, [one.content.validated for one in _devices(desk)]),
        sign_offs.signed_off(desk, make, kinds_of_work(candidate.module, replaced=replaced)),
        to_major(part_minor(settings, candidate.remedy), desk.shop.currency),
    )


def _devices(desk: Desk) -> Sequence[equipment.EquipmentView]:
    every = desk.once("equipment", lambda: equipment.list_equipment(desk))
    return [one for one in every if one.content.kind is equipment.EquipmentKind.PASS_THRU_DEVICE]
