"""The concerns behind an evidence, so that every number of an advice can be opened."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from kb.advice.chance_sentences import guess_of_check, guess_of_grade, guess_of_start, start_said
from kb.advice.chances import concerns_counted
from kb.advice.chances.concerns_counted import CountedConcerns
from kb.advice.chances.evidence import GRADES
from kb.advice.chances.starting_chance import terms
from kb.advice.chances.still_a_guess import start_is_guess
from kb.desk import settings as settings_desk
from kb.desk.bay.advice import checks_on_file, learning
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.concern import concern_lines
from kb.desk.context import Desk, anyone_in_the_shop
from kb.errors import NotFound
from kb.nouns.advice import AdviceSettings
from kb.nouns.bay.concern_file import ConcernLine
from kb.nouns.chance_words import IN_PART
from kb.nouns.learning import PastConcern
from kb.nouns.notes import Grade

MOST_LINES = 200
LinesOf = Callable[[Sequence[int]], tuple[ConcernLine, ...]]


@dataclass(frozen=True, slots=True)
class Group:
    """Concerns that say the same: how many, and the newest of them as lines."""

    title: str
    count: int
    lines: tuple[ConcernLine, ...]


@dataclass(frozen=True, slots=True)
class EvidenceBehind:
    """What an evidence is called, the guess that it starts from in words, and the concerns that counted.

    `adds_up`: of a start, how the guess, its answers and its silent vehicles come to it.
    """

    title: str
    guess: str
    groups: tuple[Group, ...]
    adds_up: str = ""


@anyone_in_the_shop
def evidence_behind(
    desk: Desk,
    key: str,
    update_id: int | None = None,
    grade: Grade | None = None,
    after: int | None = None,
) -> EvidenceBehind:
    """The evidence named `key` of an advice: start (of an update), grade, past, or a check's key.

    Each group lists its newest concerns, of those older than the one with the id `after` if it is given.
    Raises NotFound for a key, update or grade that is none.
    """
    lines_of = partial(_newest_lines, desk, after)
    concerns = learning.past_concerns(desk)
    settings = settings_desk.current(desk).advice_settings(desk.shop.currency)
    match key:
        case "start":
            return _of_start(desk, concerns, update_id, settings, lines_of)
        case "grade":
            if grade is None:
                raise NotFound("A match was strong, partial or weak.")
            words = (f"cured, match {grade.value}", "cured, matched otherwise")
            others = (f"not cured, match {grade.value}", "not cured, matched otherwise")
            start = learning.learned(desk).grades.before_answers
            guess = guess_of_grade(settings, start, GRADES.index(grade))
            found = concerns_counted.of_grade(concerns, grade)
            return EvidenceBehind(
                f"Search match: {grade.value}", guess, _groups(found, words, others, lines_of)
            )
        case "past":
            found = concerns_counted.of_past(concerns)
            groups = _groups(found, ("cured by an update",), ("not cured by one",), lines_of)
            return EvidenceBehind("How past advice came out", "", groups)
    return _of_check(desk, learning.concerns_to_count(desk), key, lines_of)


def _of_start(
    desk: Desk,
    concerns: Sequence[PastConcern],
    update_id: int | None,
    settings: AdviceSettings,
    lines_of: LinesOf,
) -> EvidenceBehind:
    update = updates_desk.on_file(desk).by_id.get(update_id or 0)
    if update is None:
        raise NotFound("There is no such update on file.")
    found = concerns_counted.of_start(concerns, update.note_id)
    groups = _groups(found, ("cured by it",), ("not cured by it",), lines_of)
    learned = learning.learned(desk)
    is_guess = start_is_guess(learned.own_answers(update.note_id), settings)
    guess = guess_of_start(settings, learned.of_updates) if is_guess else ""
    said = start_said(terms(learned.starts, update.note_id))
    return EvidenceBehind(f"Past of {update.name}", guess, groups, said)


def _of_check(desk: Desk, concerns: Sequence[PastConcern], key: str, lines_of: LinesOf) -> EvidenceBehind:
    check = next((one for one in checks_on_file.list_checks(desk, retired_too=True) if one.key == key), None)
    if check is None:
        raise NotFound("There is no such check.")
    words = (check.content.yes_word, check.content.no_word)
    groups = _groups(
        concerns_counted.of_check(concerns, key),
        tuple(f"{word}, cured by an update" for word in words),
        tuple(f"{word}, not cured" for word in words),
        lines_of,
    )
    return EvidenceBehind(check.content.name, guess_of_check(check.definition(desk.shop.currency)), groups)


def _groups(
    found: CountedConcerns, cured: tuple[str, ...], other: tuple[str, ...], lines_of: LinesOf
) -> tuple[Group, ...]:
    named = [
        *zip(cured, (found.yes_if_cured, found.no_if_cured), strict=False),
        *zip(other, (found.yes_if_not, found.no_if_not), strict=False),
        (f"reflashed, {IN_PART}", found.waiting),
    ]
    return tuple(Group(title, len(ids), lines_of(ids)) for title, ids in named if ids)


def _newest_lines(desk: Desk, after: int | None, ids: Sequence[int]) -> tuple[ConcernLine, ...]:
    older = [one for one in set(ids) if after is None or one < after]
    newest = sorted(older, reverse=True)[:MOST_LINES]
    lines = concern_lines.concern_lines(desk, newest)
    return tuple(lines[one] for one in newest if one in lines)
