"""The owner's look at the trail, whether it still hangs together, and taking somebody's words out of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, time, timedelta

from kb.desk.context import Desk, owner_only
from kb.errors import Conflict, NotFound
from kb.nouns.shop.trail import TrailAsked, TrailCheck, TrailLine, TrailPage
from kb.records.store.shop import people as people_store
from kb.records.store.shop import trail as store
from kb.records.store.shop.trail import Line
from kb.records.trail_seals import NOTHING_BEFORE

LINES_A_PAGE = 50
SHOWN_OF_A_SEAL = 16
"""Letters of a seal that are enough to tell it from every other."""


@owner_only
def read_trail(desk: Desk, asked: TrailAsked) -> TrailPage:
    between = None
    if asked.day:
        first = datetime.combine(asked.day, time.min, tzinfo=desk.shop.zone)
        last = datetime.combine(asked.day + timedelta(days=1), time.min, tzinfo=desk.shop.zone)
        between = (first, last)
    found = store.newest_lines(
        desk.session,
        desk.shop.id,
        who=asked.who,
        noun=asked.noun,
        between=between,
        before=asked.before,
        limit=LINES_A_PAGE + 1,
    )
    people, nouns = store.whose_and_of_what(desk.session, desk.shop.id)
    head = store.head(desk.session, desk.shop.id)
    lines = tuple(_line(one) for one in found[:LINES_A_PAGE])
    return TrailPage(
        lines,
        lines[-1].id if len(found) > LINES_A_PAGE else None,
        tuple(filter(None, people)),
        {one.id or 0: one.name for one in people_store.users(desk.session, desk.shop.id)},
        tuple(nouns),
        head.checked_at if head else None,
        head.checked_by if head else "",
        head.checked_says if head else "",
    )


@owner_only
def check_trail(desk: Desk, noted: str = "") -> TrailCheck:
    """Go through every line. `noted`: the seal of a line that somebody wrote down, or how it begins; where no
    line has it, lines were written anew.
    """
    seal, count, without, seen = NOTHING_BEFORE, 0, 0, not noted
    for line in store.lines_after(desk.session, desk.shop.id):
        count += 1
        if not store.hangs_on(line, seal):
            what = "is not as it was written, or one before it was taken out or put in"
            return _broken(line, count, f"{_named(desk, line)} {what}.", without)
        if not store.words_hold(line):
            return _broken(line, count, f"The words of {_named(desk, line, 'line')} were changed.", without)
        seal = line["seal"]
        without += line["salt"] is None
        seen = seen or seal.startswith(noted)
    return _of_the_end(desk, TrailCheck(count, None, "", seal, without), seen)


@owner_only
def note_check(desk: Desk, check: TrailCheck) -> None:
    """Keep when the trail was last checked, by whom, and what came of it."""
    head = store.head(desk.session, desk.shop.id)
    if head is not None:
        head.checked_at, head.checked_by, head.checked_says = desk.now, desk.actor.name, check.says


@owner_only
def take_words_away(desk: Desk, line_id: int) -> None:
    """Somebody's data stands in the words of a line and must go. The line stays, and so do the seals.

    Raises NotFound, and Conflict where they are gone.
    """
    if line_id not in {one["id"] for one in _up_to(desk, line_id)}:
        raise NotFound("The trail has no such line.")
    if not store.take_words_away(desk.session, desk.shop.id, line_id):
        raise Conflict("The words of this line were taken away already.")
    desk.note_down("took away the words of", "trail", line_id)


def _up_to(desk: Desk, line_id: int) -> Iterable[Line]:
    return store.newest_lines(desk.session, desk.shop.id, before=line_id + 1, limit=1)


def _of_the_end(desk: Desk, check: TrailCheck, seen: bool) -> TrailCheck:
    """Whether lines are missing at the end: the database keeps how many there were, and the last seal."""
    head = store.head(desk.session, desk.shop.id)
    wanted, last = (head.rows, head.seal) if head else (0, NOTHING_BEFORE)
    if (wanted, last) != (check.lines, check.seal):
        return replace(check, broken_at=0, says=_cut(wanted - check.lines))
    if not seen:
        says = "No line has the seal that was noted down: lines were written anew since."
        return replace(check, broken_at=0, says=says)
    says = f"The trail is whole: {_counted(check.lines)}, each sealed with the one before."
    if check.without_words:
        says += f" The words of {_counted(check.without_words)} were taken away."
    return replace(check, says=says if check.lines else "The trail has no line yet.")


def _cut(missing: int) -> str:
    if missing > 0:
        return f"At the end {_counted(missing)} {'is' if missing == 1 else 'are'} missing."
    return "The end of the trail is not what was written last."


def _counted(count: int) -> str:
    return "1 line" if count == 1 else f"{count:,} lines"


def _broken(line: Line, count: int, says: str, without: int) -> TrailCheck:
    return TrailCheck(count, line["id"], says, line["seal"], without)


def _named(desk: Desk, line: Line, word: str = "Line") -> str:
    when = line["at"].astimezone(desk.shop.zone)
    thing = f"{line['noun']} {line['noun_id']}" if line["noun_id"] is not None else line["noun"]
    return f"{word} {line['id']} ({when:%Y-%m-%d %H:%M}, {line['who']}: {line['action']} {thing})"


def _line(row: Line) -> TrailLine:
    return TrailLine(
        row["id"],
        row["at"],
        row["who"],
        row["action"],
        row["noun"],
        row["noun_id"],
        row["detail"],
        row["salt"] is None,
    )
