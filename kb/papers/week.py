"""The week in lines, for a page and as plain text: only what is new, due, waiting or about to end."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from kb.nouns.bay.concern_file import ConcernLine
from kb.nouns.bay.waiting import WAITING_WORDS
from kb.nouns.days import day_words, days_said
from kb.nouns.lead.first_steps import FirstStep
from kb.nouns.lead.queues import QUEUE_WORDS
from kb.nouns.review.alarms import ALARM_WORDS, Alarm
from kb.nouns.review.week import (
    NEW_DAYS,
    SHOWN_EACH,
    About,
    Backup,
    CallDue,
    Week,
    WeekLine,
    WeekOnFile,
    WeekPart,
)
from kb.papers.plain_text import PaperLine, PaperPart
from kb.papers.shop_words import ShopWords
from kb.papers.week_ends import ending_lines


def week_of(found: WeekOnFile, today: date, words: ShopWords) -> Week:
    """The parts that have a line, in the order in which they cost money."""
    backup = backup_line(found.backup, words)
    wrong = (backup,) if backup and found.backup and found.backup.wrong else ()
    parts = {
        "Alarms": alarm_lines(found.alarms, today),
        "Calls due": call_lines(found.calls, today),
        "Ends soon": ending_lines(found, today),
        "Sign-offs": signing_lines(found),
        "Backup": wrong,
        "Notes waiting": [
            WeekLine(_begun(QUEUE_WORDS[queue]), str(count), About.QUEUE, queue)
            for queue, count in found.queues.items()
            if count
        ],
        "Concerns waiting longest": [_waiting(one, today, words) for one in found.waiting],
        "First steps": _steps(found),
    }
    return Week(
        today,
        tuple(WeekPart(heading, tuple(lines)) for heading, lines in parts.items() if lines),
        None if wrong else backup,
    )


def alarm_lines(alarms: Iterable[tuple[str, Alarm]], today: date) -> list[WeekLine]:
    """Those of this week first, then the latest; all of them stand unanswered."""
    latest = sorted(alarms, key=lambda one: one[1].since, reverse=True)
    return _first([_alarm(called, alarm, today) for called, alarm in latest], About.ALARM)


def call_lines(calls: Iterable[CallDue], today: date) -> list[WeekLine]:
    """Promised calls one by one, the latest promise last; the others as a number with the oldest day."""
    due = sorted(calls, key=lambda one: (one.due_on, one.concern_id))
    lines = _first([_promised(one, today) for one in due if one.promised], About.CALLS)
    others = [one for one in due if not one.promised]
    if not others:
        return lines
    said = f"{_vehicles(len(others))}, the first since {day_words(others[0].due_on)}"
    return [*lines, WeekLine("To ask how it does", said, About.CALLS)]


def signing_lines(found: WeekOnFile) -> list[WeekLine]:
    """Work without a sign-off; nothing in a shop that signs nobody off."""
    if found.signing is None or not found.signing.recorded:
        return []
    people = [
        WeekLine(one.called, f"not signed off for {one.said}", About.PERSON, one.person, one.work.make)
        for one in found.signing.people
    ]
    makes = [WeekLine(one.work.make, one.sentence, About.PEOPLE) for one in found.signing.makes]
    return _first([*people, *makes], About.PEOPLE)


def backup_line(backup: Backup | None, words: ShopWords) -> WeekLine | None:
    """When the newest copy was made, and whether it was checked; None of a shop that makes none."""
    if backup is None:
        return None
    if backup.wrong:
        return WeekLine("Backup", backup.wrong, About.BACKUPS)
    if backup.made_at is None:
        return WeekLine("Backup", "none yet", About.BACKUPS)
    said = words.moment(backup.made_at)
    if backup.where:
        return WeekLine("Backup", f"newest copy {said}, on {backup.where}", About.BACKUPS)
    checked = "read back and as long as its check sheet says" if backup.checked else "not checked"
    return WeekLine("Backup", f"newest copy {said}, {checked}", About.BACKUPS)


def week_paper(week: Week, shop: str) -> tuple[PaperPart, ...]:
    """The same lines for a text to copy or print."""
    said = [PaperLine("This week", week.opening)] if week.quiet else []
    said += [PaperLine(week.backup.label, week.backup.text)] if week.backup else []
    parts = [
        PaperPart(one.heading, tuple(PaperLine(line.label, line.text) for line in one.lines))
        for one in week.parts
    ]
    return (PaperPart(f"{shop}, week to {day_words(week.on)}", tuple(said)), *parts)


def _alarm(called: str, alarm: Alarm, today: date) -> WeekLine:
    is_new = alarm.since > today - timedelta(NEW_DAYS)
    how = "new this week" if is_new else "not answered yet"
    said = f"{ALARM_WORDS[alarm.kind]} since {day_words(alarm.since)}, {how}"
    return WeekLine(called, said, About.ALARM)


def _waiting(one: ConcernLine, today: date, words: ShopWords) -> WeekLine:
    waits = one.waiting
    assert waits is not None  # noqa: S101  # only those that wait are handed in
    days = (today - waits.since.astimezone(words.zone).date()).days
    remark = f" ({waits.remark})" if waits.remark else ""
    said = f"waits for {WAITING_WORDS[waits.waiting_for]}{remark}, {days_said(days)}"
    return WeekLine(one.ref, said, About.CONCERN, str(one.id))


def _steps(found: WeekOnFile) -> list[WeekLine]:
    steps = found.steps
    if steps is None or not steps.shown:
        return []
    return [WeekLine("First steps", f"{len(steps.done)} of {len(FirstStep)} done", About.FIRST_STEPS)]


def _first(lines: list[WeekLine], about: About) -> list[WeekLine]:
    """The first few, and how many more there are."""
    more = len(lines) - SHOWN_EACH
    return lines if more <= 0 else [*lines[:SHOWN_EACH], WeekLine("And more", str(more), about)]


def _promised(one: CallDue, today: date) -> WeekLine:
    days = (today - one.due_on).days
    late = "" if days <= 0 else f", {days_said(days)} late"
    said = f"call promised for {day_words(one.due_on)}{late}"
    return WeekLine(one.ref, said, About.CONCERN, str(one.concern_id))


def _vehicles(count: int) -> str:
    return "1 vehicle" if count == 1 else f"{count} vehicles"


def _begun(text: str) -> str:
    return text[:1].upper() + text[1:]
