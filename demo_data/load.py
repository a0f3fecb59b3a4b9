"""Loads the invented shop through the same use cases as real data, each on its own day.

The shop is told to have used the advice for the last `ADVISED_DAYS` days; before that nobody asked it, so
no decision is frozen. What was learned is brought up to date once in each part of the story, not at each
decision.
"""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

from demo_data import billing, handover
from demo_data.equip import equip
from demo_data.loading import Loading
from demo_data.parts import Published, Step, parts_of
from demo_data.sheets import Sheet
from demo_data.shop import Shop, Subscription
from demo_data.simulate import simulate
from demo_data.story import (
    Authorized,
    Bought,
    Closed,
    Decided,
    FollowedUp,
    LookedUp,
    Opened,
    Programmed,
)
from demo_data.visits import ADVISED_DAYS
from kb.desk.access import accounts
from kb.desk.bay.advice import advice, learning
from kb.desk.bay.concern import closing, concerns, facts, findings
from kb.desk.bay.programming import money, programming
from kb.desk.calls import what_was_heard
from kb.desk.context import CONSOLE, Desk, RunningShop
from kb.desk.notes import notes
from kb.desk.shop import demo_filling, own_access, sign_offs, subscriptions
from kb.desk.shop.subscriptions import SubscriptionDraft, SubscriptionKind
from kb.errors import Conflict
from kb.nouns.bay.customer_word import AuthorizationDraft
from kb.nouns.concerns import NumberIs
from kb.nouns.notes import NoteState
from kb.nouns.people import Actor
from kb.nouns.shop.ways import Way

_NOON_UTC = 17
WRITES_SECONDS = 0.7
PAUSE_SECONDS = 0.02
"""After so long the pen is left to whoever waits to write, as for signing in: everybody asks for it more
often than a pause lasts."""


def load(shop: RunningShop, on: date, seed: int = 2087) -> None:
    """Fill an empty demo database with the story as it is told `on` a day, in many short transactions."""
    story = simulate(on, seed)
    parts = parts_of(story)
    with shop.writing(CONSOLE) as desk:
        loading = Loading(
            _people(desk, story.shop),
            story.today - timedelta(days=ADVISED_DAYS),
            desk.now,
            sum(map(len, parts)),
        )
        lead = loading.people["lead"]
        loading.equipment |= equip(_on(desk, story.today, lead), story.shop)
        for signed in story.shop.sign_offs:
            whose = loading.people[signed.person].user_id
            sign_offs.sign_off(_on(desk, signed.on, lead), whose, signed.draft)
        for own in story.shop.own_access:
            whose = loading.people[own.person].user_id
            own_access.add_access(_on(desk, story.today, lead), whose, own.draft)
    for part in parts:
        if part[-1].day >= loading.advised_from:
            with shop.reading(CONSOLE) as desk:
                loading.learned = learning.learned(_on(desk, part[0].day, loading.people["lead"]))
        waiting = deque(part)
        while waiting:
            _record_some(shop, waiting, loading)
            threading.Event().wait(PAUSE_SECONDS)  # a faked clock, as for trying other days, breaks sleep


def _record_some(shop: RunningShop, waiting: deque[Step], loading: Loading) -> None:
    """Record the first of what waits, in one transaction."""
    with shop.writing(CONSOLE) as desk:
        shop.records.keep_rows(desk.session)
        give_back = time.monotonic() + WRITES_SECONDS
        while waiting and time.monotonic() < give_back:
            step = waiting.popleft()
            here = _on(desk, step.day, loading.people[step.by], step.place)
            _RECORD[type(step.what)](here, step.what, loading)
            loading.done += 1
        demo_filling.note_progress(desk, loading.done, loading.steps)


def _on(desk: Desk, day: date, actor: Actor, place: int = 0) -> Desk:
    """The same transaction on another day, by another person, at this place among that day's events."""
    noon = datetime(day.year, day.month, day.day, _NOON_UTC, tzinfo=UTC)
    begun = min(noon, desk.now - timedelta(seconds=1)) if day >= desk.today else noon
    return replace(desk, now=begun + timedelta(milliseconds=place), today=day, actor=actor)


def _people(desk: Desk, shop: Shop) -> dict[str, Actor]:
    known = {user.name: user for user in accounts.list_users(desk)}
    for person in shop.people:
        if person.user_name in known:
            user = known[person.user_name]
            accounts.change_user(
                desk, user.id, user.version, display_name=person.display_name, role=person.role.value
            )
        else:
            accounts.make_account(desk, person.user_name, person.display_name, person.role.value, None)
    return {user.name: Actor(user.id, user.name, user.role) for user in accounts.list_users(desk)}


def _published(desk: Desk, what: Published, loading: Loading) -> None:
    note = what.draft
    state = NoteState.PUBLISHED if note.state is NoteState.RETIRED else note.state
    saved = notes.write_note(desk, replace(note, state=state))
    if note.state is NoteState.RETIRED:
        notes.retire_note(desk, saved.id, saved.version, "replaced by a newer lesson")
    loading.notes.setdefault(note.number, saved.id)


def _opened(desk: Desk, what: Opened, loading: Loading) -> None:
    """Opened; a visitor of the demo may have taken its number for another vehicle while the story goes on."""
    try:
        opened = concerns.open_concern(desk, what.draft)
    except Conflict:
        beside = replace(what.draft, line="", same_number=NumberIs.ANOTHER_VEHICLE)
        opened = concerns.open_concern(desk, beside)
    loading.concerns[what.concern] = opened.id


def _sheet(desk: Desk, what: Sheet, loading: Loading) -> None:
    concern = loading.concerns[what.concern]
    if what.gates:
        settled = {one.gate: ("fine" if one.fine else "fault", one.remark) for one in what.gates}
        facts.put_gates(desk, concern, settled)
    if what.findings:
        findings.put_findings(desk, concern, [one.finding for one in what.findings])


def _looked_up(desk: Desk, what: LookedUp, loading: Loading) -> None:
    facts.put_look_up(desk, loading.concerns[what.concern], what.look_up)


def _authorized(desk: Desk, what: Authorized, loading: Loading) -> None:
    draft = AuthorizationDraft(
        what.amount_minor,
        what.who,
        what.how,
        what.if_not_cured.replace(" ", "_"),
        told_may_not_cure=True,
        told_module_can_fail=True,
        declined=what.declined,
        proposed=what.proposed,
        number_called=what.number_called,
    )
    money.authorize(desk, loading.concerns[what.concern], draft)
    loading.agreed[what.concern] = what


def _decided(desk: Desk, what: Decided, loading: Loading) -> None:
    if desk.today < loading.advised_from:
        return
    reason = what.reason or "as the technician saw it"
    concern = loading.concerns[what.concern]
    advice.decide(desk, concern, what.did, reason, learned=loading.learned)


def _bought(desk: Desk, what: Bought, loading: Loading) -> None:
    one: Subscription = what.subscription
    draft = SubscriptionDraft(
        one.offer.make,
        SubscriptionKind.PROGRAMMING,
        one.offer.price_minor,
        one.bought_on,
        one.expires_on,
        plan=one.offer.name,
    )
    loading.subscriptions[one.key] = subscriptions.add_subscription(desk, draft).id


def _programmed(desk: Desk, what: Programmed, loading: Loading) -> None:
    modules = tuple(
        replace(
            module,
            update_id=loading.notes.get(number),
            concern_ids=tuple(loading.concerns[one] for one in some),
        )
        for module, number, some in zip(what.draft.modules, what.updates, what.concerns, strict=True)
    )
    draft = replace(
        what.draft,
        modules=modules,
        device_id=loading.equipment.get(what.device),
        computer_id=loading.equipment.get(what.computer),
        support_unit_id=loading.equipment.get(what.support_unit),
        subscription_id=loading.subscriptions.get(what.subscription),
    )
    if draft.way is Way.HERE:
        programming.record_event(desk, draft)
    else:
        handover.came_back(desk, draft)
    loading.programmed.update(one for some in what.concerns for one in some)


def _followed_up(desk: Desk, what: FollowedUp, loading: Loading) -> None:
    what_was_heard.record_follow_up(desk, loading.concerns[what.concern], what.draft)


def _closed(desk: Desk, what: Closed, loading: Loading) -> None:
    concern = loading.concerns[what.concern]
    closing.close_concern(
        desk,
        concern,
        what.ending,
        cured_by=loading.notes.get(what.update),
        other_cause=what.other_cause,
    )
    if what.cost_minor:
        money.record_payment(desk, concern, "cost", what.cost_minor, "shop", "comeback")
    billing.bill(desk, what, loading)


_RECORD: Mapping[type[Any], Callable[[Desk, Any, Loading], None]] = {
    Published: _published,
    Opened: _opened,
    Sheet: _sheet,
    LookedUp: _looked_up,
    Authorized: _authorized,
    **handover.RECORD,
    Decided: _decided,
    Bought: _bought,
    Programmed: _programmed,
    FollowedUp: _followed_up,
    Closed: _closed,
}
