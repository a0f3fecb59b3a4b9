"""The week by itself: gathered from what is on file, for the owner's page and a text to copy."""

from __future__ import annotations

from datetime import timedelta

from kb.desk.bay.papers.ro_lines import shop_words
from kb.desk.calls import call_list
from kb.desk.context import Desk, owner_only
from kb.desk.review import first_steps, queues, reports
from kb.desk.shop import backups, equipment, subscriptions, who_needs_signing
from kb.nouns.review.week import (
    NEW_DAYS,
    SHOWN_EACH,
    Backup,
    Bought,
    CallDue,
    Listing,
    Week,
    WeekOnFile,
)
from kb.papers.plain_text import plain_text
from kb.papers.week import week_of, week_paper
from kb.records.store.bay.other_concerns import waiting_longest


@owner_only
def week(desk: Desk) -> Week:
    """What is new, due, waiting or about to end, as of today."""
    return desk.once("week", lambda: week_of(_on_file(desk), desk.today, shop_words(desk)))


@owner_only
def week_text(desk: Desk) -> str:
    """The same lines as plain text, in letters that any program takes."""
    return plain_text(week_paper(week(desk), desk.shop.name), only_ascii=True)


def _on_file(desk: Desk) -> WeekOnFile:
    since = desk.now - timedelta(NEW_DAYS)
    waiting = waiting_longest(desk.session, desk.shop.id, since, SHOWN_EACH)
    return WeekOnFile(
        alarms=reports.standing_alarms(desk),
        calls=tuple(
            CallDue(one.concern_id, one.ref, one.due_on, promised=one.why == "promise")
            for one in call_list.due(desk)
        ),
        bought=_bought(desk),
        listings=_listings(desk),
        signing=who_needs_signing.who_needs_signing(desk),
        backup=_backup(desk),
        queues={one.queue: one.count for one in queues.waiting(desk)},
        waiting=tuple(one.line for one in waiting),
        steps=first_steps.first_steps(desk),
    )


def _bought(desk: Desk) -> tuple[Bought, ...]:
    every = (one.content for one in subscriptions.list_subscriptions(desk))
    return tuple(Bought(one.make, one.kind.value, one.bought_on, one.ends_on) for one in every)


def _listings(desk: Desk) -> tuple[Listing, ...]:
    devices = (one.content for one in equipment.list_equipment(desk))
    return tuple(
        Listing(one.name, make, looked_up) for one in devices for make, looked_up in one.validated.items()
    )


def _backup(desk: Desk) -> Backup | None:
    """The newest copy, and what to be warned of; None in a demo."""
    found = backups.read_backups(desk)
    if found.kind is backups.Kind.NOT_AT_ALL:
        return None
    wrong, last = backups.warning(desk), found.last
    if found.elsewhere:
        return Backup(last.made_at, checked=False, wrong=wrong, where=found.elsewhere)
    fault = next((one.fault for one in found.lines if one.name == last.made_as), "")
    return Backup(last.made_at, checked=last.made_at is not None and not fault, wrong=wrong or fault)
