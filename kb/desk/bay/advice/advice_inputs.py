"""Everything one piece of advice rests on, gathered from the records as the advice takes it."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from kb.advice.before_plan.speaks_against import answered_by_words, by_words
from kb.desk.bay.advice import candidates as candidates_desk
from kb.desk.bay.advice import checks_on_file
from kb.desk.bay.advice.candidate_inputs import candidates_in_hand
from kb.desk.bay.advice.cautions import cautions_of
from kb.desk.bay.advice.checks_of_updates import answered_already, needs_road, speaks_for
from kb.desk.bay.advice.newer_unknown import newer_unknown
from kb.desk.bay.advice.outside_years import left_out_by_year
from kb.desk.bay.advice.silent import faults_of, to_settle
from kb.desk.bay.advice.updates import UpdateOnFile
from kb.desk.bay.advice.words_against import CONDITIONS_CHECK
from kb.desk.bay.concern import case as case_desk
from kb.desk.bay.concern import concern_costs, odd_entries
from kb.desk.bay.concern.stops import notices_of, stops_of
from kb.desk.bay.programming import money as money_desk
from kb.desk.bay.programming.recovery import recovery_stop
from kb.desk.context import Desk
from kb.desk.shop import plan_offers
from kb.desk.shop import subscriptions as subscriptions_desk
from kb.nouns.advice import (
    CheckInHand,
    ConcernInHand,
    CostSettings,
)
from kb.nouns.concerns import FindingResult, Overnight
from kb.nouns.currency import to_major
from kb.records.store.bay import case as store
from kb.records.store.bay.concerns import ConcernOnFile


def concern_in_hand(desk: Desk, held: ConcernOnFile) -> ConcernInHand:
    """The concern with its candidates, checks, stops and costs, on the shop's day."""
    return desk.once(("in hand", held.concern.id), lambda: _gathered(desk, held))


def _gathered(desk: Desk, held: ConcernOnFile) -> ConcernInHand:
    found = candidates_in_hand(desk, held)
    gates = case_desk.gates_of(desk, held)
    lifts = store.stop_lifts(desk.session, held.concern.id or 0)
    stand = money_desk.standing(desk, held.repair_order.id or 0)
    currency = desk.shop.currency
    return ConcernInHand(
        concern_id=held.concern.id or 0,
        as_of=desk.today,
        candidates=found.left,
        checks=_checks(
            desk,
            held,
            found.updates,
            said=found.said,
            other_conditions=bool(found.left) and all(one.words_against for one in found.left),
        ),
        stops=(*stops_of(gates, lifts), *recovery_stop(desk, held, lifts)),
        notices=(
            *notices_of(gates),
            *found.notices,
            *(one.sentence for one in newer_unknown(desk, held)),
            *(() if found.left else filter(None, [odd_entries.no_update_of_make(desk, held.vehicle.make)])),
        ),
        costs=_costs(desk, held, held.vehicle.make),
        authorized=None if stand.authorized_minor is None else to_major(stand.authorized_minor, currency),
        used=to_major(stand.used_minor, currency),
        installed=found.installed,
        ruled_out=found.ruled_out,
        left_out_by_year=left_out_by_year(desk, held),
        near=() if found.left else candidates_desk.near_notes(desk, held),
        cautions=cautions_of(desk, held),
        leaves_today=held.concern.overnight == Overnight.NO.value,
        to_settle=to_settle(desk, held, gates),
        faults=faults_of(gates),
    )


def _checks(
    desk: Desk,
    held: ConcernOnFile,
    updates: Sequence[UpdateOnFile],
    said: Collection[str],
    *,
    other_conditions: bool,
) -> tuple[CheckInHand, ...]:
    """The checks that speak for an update here or were done; `said` is what the words say against one.

    `other_conditions`: they say that it does not act up under the conditions of any.
    """
    found = {check.id: row for row, check in store.findings(desk.session, held.concern.id or 0)}
    entries = tuple(one for update in updates for one in update.speaks_against)
    row = held.concern
    checks = (
        CheckInHand(
            definition=check.definition(desk.shop.currency),
            attached_to=speaks_for(check.id, check.content.system, updates),
            result=FindingResult(found[check.id].result) if check.id in found else FindingResult.NOT_DONE,
            answered_already=answered_already(check.key, row.codes_scanned, row.just_before),
            recorded_at=found[check.id].at if check.id in found else None,
            needs_road=needs_road(check.content.name, check.content.needs),
        )
        for check in checks_on_file.list_checks(desk)
    )
    return tuple(
        by_words(check, "other conditions")
        if other_conditions and check.definition.key == CONDITIONS_CHECK and check.recorded_at is None
        else answered_by_words(check, entries, said)
        for check in checks
        if check.attached_to or check.recorded_at
    )


def _costs(desk: Desk, held: ConcernOnFile, make: str) -> CostSettings:
    settings, own = concern_costs.settings_on(desk, held.concern)
    kind = subscriptions_desk.SubscriptionKind.PROGRAMMING
    bought = subscriptions_desk.bought_for(desk, make, kind)
    as_set = "subscription_fee_minor" in own
    return settings.cost_settings(
        desk.shop.currency,
        subscription_fee_minor=None if as_set else plan_offers.price_of_access(desk, make, bought),
        subscription_active=subscriptions_desk.running_on(bought, desk.today) is not None,
    )
