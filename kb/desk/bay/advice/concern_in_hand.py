"""Everything one piece of advice rests on, as the advice takes it: the concern's file and the shop's."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from kb.advice.before_plan.checks_of_updates import answered_already, needs_road, speaks_for
from kb.advice.before_plan.newer_unknown import newer_unknown
from kb.advice.before_plan.speaks_against import answered_by_words, by_words
from kb.advice.before_plan.stops import gates_of, notices_of, stops_of
from kb.advice.before_plan.ways_open import free_because
from kb.advice.cautions.silent_vehicle import faults_of, talked, to_settle
from kb.desk.bay.advice import candidates as candidates_desk
from kb.desk.bay.advice import checks_on_file
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.candidates_in_hand import candidates_in_hand
from kb.desk.bay.advice.cautions import cautions_of
from kb.desk.bay.advice.concepts import concepts_of
from kb.desk.bay.advice.outside_years import left_out_by_year
from kb.desk.bay.advice.ways_in_hand import with_ways
from kb.desk.bay.advice.words_against import CONDITIONS_CHECK
from kb.desk.bay.concern import concern_costs, odd_entries
from kb.desk.bay.concern import recalls as recalls_desk
from kb.desk.context import Desk
from kb.desk.shop import plan_offers
from kb.desk.shop import subscriptions as subscriptions_desk
from kb.nouns.advice import CheckInHand, ConcernInHand, CostSettings
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.concerns import FindingResult, Overnight
from kb.nouns.currency import to_major
from kb.prep.recovery import recovery_stop
from kb.vehicle.updates_on_file import UpdateOnFile


def concern_in_hand(desk: Desk, file: ConcernFile) -> ConcernInHand:
    """The concern with its candidates, checks, stops and costs, on the shop's day."""
    return desk.once(("in hand", file.id), lambda: _gathered(desk, file))


def _gathered(desk: Desk, file: ConcernFile) -> ConcernInHand:
    found = candidates_in_hand(desk, file)
    gates = gates_of(file, recalls_desk.of_concern(desk, file))
    settled = {gate.key: gate.result for gate in gates}
    currency, limit, make = desk.shop.currency, file.authorized_minor, file.vehicle.make
    return ConcernInHand(
        concern_id=file.id,
        as_of=desk.today,
        candidates=with_ways(desk, file, found.left),
        checks=_checks(
            desk,
            file,
            found.updates,
            said=found.said,
            other_conditions=bool(found.left) and all(one.words_against for one in found.left),
        ),
        stops=(*stops_of(gates, file.lifts), *recovery_stop(file)),
        notices=(
            *notices_of(gates),
            *found.notices,
            *(one.sentence for one in newer_unknown(file, updates_desk.on_file(desk), desk.today)),
            *(() if found.left else filter(None, [odd_entries.no_update_of_make(desk, make)])),
        ),
        costs=_costs(desk, file),
        authorized=None if limit is None else to_major(limit, currency),
        used=to_major(file.billed_minor, currency),
        installed=found.installed,
        ruled_out=found.ruled_out,
        left_out_by_year=left_out_by_year(desk, file),
        near=() if found.left else candidates_desk.near_notes(desk, file),
        cautions=cautions_of(desk, file),
        leaves_today=file.overnight == Overnight.NO.value,
        to_settle=to_settle(concepts_of(desk, file), settled, scanned=talked(file), make=make),
        faults=faults_of(gates),
        free_because=free_because(gates),
    )


def _checks(
    desk: Desk,
    file: ConcernFile,
    updates: Sequence[UpdateOnFile],
    said: Collection[str],
    *,
    other_conditions: bool,
) -> tuple[CheckInHand, ...]:
    """The checks that speak for an update here or were done; `said` is what the words say against one.

    `other_conditions`: they say that it does not act up under the conditions of any.
    """
    found = {one.check_id: one for one in file.found}
    entries = tuple(one for update in updates for one in update.speaks_against)
    checks = (
        CheckInHand(
            definition=check.definition(desk.shop.currency),
            attached_to=speaks_for(check.id, check.content.system, updates),
            result=found[check.id].result if check.id in found else FindingResult.NOT_DONE,
            answered_already=answered_already(check.key, file.codes_scanned, file.just_before),
            recorded_at=found[check.id].at if check.id in found else None,
            needs_road=needs_road(check.content.name, check.content.needs),
            not_before=checks_on_file.not_before_on(desk, file, check),
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


def _costs(desk: Desk, file: ConcernFile) -> CostSettings:
    settings, own = concern_costs.settings_on(desk, file.cost_overrides)
    make = file.vehicle.make
    kind = subscriptions_desk.SubscriptionKind.PROGRAMMING
    bought = subscriptions_desk.bought_for(desk, make, kind)
    as_set = "subscription_fee_minor" in own
    return settings.cost_settings(
        desk.shop.currency,
        subscription_fee_minor=None if as_set else plan_offers.price_of_access(desk, make, bought),
        subscription_active=subscriptions_desk.running_on(bought, desk.today) is not None,
    )
