"""The words of the history file for what was seen before and after a reflash, and what came of it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from kb.errors import BadInput
from kb.intake.fields import read_day
from kb.intake.history.answer_words import (
    DONE,
    DUPLICATED,
    EMPTY,
    HEARD,
    NO,
    NOT_BACK,
    NOT_DONE,
    NOTHING,
    OUTCOMES,
    ROAD_TESTS,
    SOME_DAY,
    WAYS,
    YES,
)
from kb.nouns.concerns import Duplicated, FollowUpResult, HowHeard, RoadTest
from kb.nouns.shop.ways import Way


@dataclass(frozen=True, slots=True)
class CameBack:
    """Whether it came back: the day where one is written, and what else the answer says.

    `denied`: a plain no; `result`: a word for what came of it that is no comeback, such as sold.
    """

    day: date | None = None
    came_back: bool = False
    denied: bool = False
    result: FollowUpResult | None = None


NOTHING_SAID = CameBack()


def read_returned(text: str) -> CameBack:
    """The day it came back; yes and unknown: on a day that nobody knows; no and none: it did not.

    A day may stand beside the answer: "yes - 2023-10-26".
    """
    answer, day = _answer_and_day(text)
    word = _plain(answer)
    if word in EMPTY:
        return CameBack(day) if day else NOTHING_SAID
    if word in SOME_DAY or OUTCOMES.get(word) is FollowUpResult.CAME_BACK:
        return CameBack(day, came_back=True)
    if word in NOT_BACK:
        return CameBack(denied=True)
    said = _yes_or_no(answer)
    if said is None:
        raise BadInput(f'"{text}" is neither a day nor yes or no. Write the day it came back: 2026-03-31.')
    return CameBack(day, came_back=True) if said else CameBack(denied=True)


def read_came_back(text: str) -> CameBack:
    """Whether it came back: yes, no, its day, or a word for what came of it. Unknown says nothing."""
    answer, day = _answer_and_day(text)
    word = _plain(answer)
    result = OUTCOMES.get(word)
    if (word in SOME_DAY or word in EMPTY) and day is None:
        return NOTHING_SAID
    if result not in (None, FollowUpResult.CAME_BACK) and word not in NOT_BACK:
        return CameBack(None if result is FollowUpResult.FINE else day, result=result)
    try:
        said = read_returned(text)
    except BadInput as wrong:
        raise BadInput(f'"{text}" is not understood. Write yes, no, or the day it came back.') from wrong
    return CameBack(said.day, said.came_back or said.day is not None, said.denied)


def read_day_of(text: str) -> date | None:
    """The day of something that was done, also beside a word ("yes - 2023-10-26"); None where it was not.

    A bare yes is no day: BadInput asks for it.
    """
    answer, day = _answer_and_day(text)
    word = _plain(answer)
    if not word or (day and (word in DONE or _yes_or_no(answer))):
        return day
    if word in NOTHING or word in SOME_DAY or word in NOT_DONE or _yes_or_no(answer) is False:
        return None
    return read_day(text)


def is_unknown(text: str) -> bool:
    """Somebody wrote down that it is not known."""
    return _plain(text) in SOME_DAY


_FAILURE = re.compile(
    r"\b((came|come|comes) ?back|coming back|returned|not (fixed|cured|resolved)"
    r"|still (there|does it)|no good|(did not|didn't) (fix|cure|help))\b",
    re.IGNORECASE,
)


def speaks_of_failure(text: str) -> bool:
    """Somewhere in it stands that a concern came back or was not cured, or the opposite of it."""
    return bool(_FAILURE.search(text.replace("\u2019", "'").replace("-", " ")))


def is_a_day(text: str) -> bool:
    """Written in figures, as "2026-04-01" or "4/1/26"."""
    return bool(re.fullmatch(r"\d{1,4}([-/.])\d{1,2}\1\d{1,4}", text.strip()))


def word_of_outcome(text: str) -> FollowUpResult | None:
    """What came of the reflash by the whole answer, None for anything else."""
    return OUTCOMES.get(_plain(text))


def is_no(text: str) -> bool:
    """No cause was found, say."""
    return says_nothing(text) or text.casefold() in ("no", "none found", "not found")


def says_nothing(text: str) -> bool:
    return _plain(text) in NOTHING


def read_came_of_it(text: str) -> tuple[str, FollowUpResult | None, date | None]:
    """The event column: the name of the programming event, or what came of the reflash and on which day."""
    if says_nothing(text):
        return "", None, None
    answer, day = _answer_and_day(text)
    result = word_of_outcome(answer)
    return ("", result, day) if result else (text, None, None)


def read_duplicated(text: str) -> Duplicated:
    """Whether the concern was duplicated before: yes, no, not tried; empty counts as yes."""
    answer, _day = _answer_and_day(text)
    known = DUPLICATED.get(_plain(answer))
    if known or _plain(answer) in NOTHING:
        return known or Duplicated.YES
    return Duplicated.YES if _answer(answer, text, "yes, no or not tried") else Duplicated.NO


def read_road_test(text: str) -> RoadTest | None:
    """Whether it was gone at the road test: yes, no, cannot say, or what shops write; empty is not known."""
    answer, day = _answer_and_day(text)
    word = _plain(answer)
    if word in ROAD_TESTS:
        return ROAD_TESTS[word]
    if word in NOTHING and not day:
        return None
    return RoadTest.GONE if _answer(answer, text, "yes, no or cannot say") else RoadTest.STILL_THERE


def answer_beside_day(text: str) -> str:
    """The answer without the day beside it; a day alone stays."""
    return _answer_and_day(text)[0] or text


def is_road_test_word(text: str) -> bool:
    """It says more than yes or no."""
    return _plain(_answer_and_day(text)[0]) in ROAD_TESTS


def read_other_work(text: str) -> tuple[str, ...]:
    """What else was done in the visit, parted by semicolons; a bare yes is kept as "yes"."""
    word = _plain(text)
    if word in NOTHING or word in NO:
        return ()
    return ("yes",) if word in YES else tuple(part.strip() for part in text.split(";") if part.strip())


def read_heard(text: str) -> HowHeard | None:
    """Whether somebody had to ask; None for words that say neither."""
    word = _plain(text)
    return HowHeard.NOT_SAID if word in NOTHING else HEARD.get(word)


def read_way(text: str) -> Way | None:
    """Who did it; empty is not told. Anything else is refused, since it would count as done here."""
    word = " ".join(_plain(text).replace(",", " ").replace("/", " ").split())
    if word not in WAYS and word not in NOTHING and word not in SOME_DAY:
        taken = "here, mobile programmer, dealer paid or dealer free"
        raise BadInput(f'"{text}" does not say who did it. Write {taken}, or leave it empty.')
    return WAYS.get(word)


def _answer(answer: str, text: str, words: str) -> bool:
    said = _yes_or_no(answer)
    if said is None:
        raise BadInput(f'"{text}" is not understood. Write {words}, or leave it empty.')
    return said


_DAY = re.compile(r"(?<!\d)\d{4}-\d{2}-\d{2}(?!\d)")
_BESIDE = " \t-\u2013\u2014:;,.@()[]~*"
_FILLERS = re.compile(
    r"^(?:on|as of|about|approx\.?|around|since|dated?)\b|\b(?:on|as of|about|approx\.?|around|dated?)$", re.I
)
_WITH_MORE = re.compile(r"(yes|y|no|n)\s*[\s,;:.(\-\u2013\u2014]\s*(\S.{0,60})", re.IGNORECASE)
_AGAINST = {
    True: re.compile(r"\b(?:no|not|never|but|until|except|cannot|still)\b|n['\u2019]t\b|\?", re.IGNORECASE),
    False: re.compile(r"\b(?:yes|but|until|then|later|again|except)\b|\?", re.IGNORECASE),
}


def _answer_and_day(text: str) -> tuple[str, date | None]:
    """What stands beside a day that is written year-month-day, and the day; it alone where there is one."""
    found = _DAY.findall(text)
    if len(found) != 1:
        return text, None
    rest = _DAY.sub(" ", text).strip(_BESIDE)
    return _FILLERS.sub("", rest).strip(_BESIDE), read_day(found[0])


def _yes_or_no(text: str) -> bool | None:
    """Yes or no, also with words behind it that do not speak against it ("no - customer happy")."""
    word = _plain(text)
    if word in YES or word in NO:
        return word in YES
    more = _WITH_MORE.fullmatch(text.strip())
    if more is None:
        return None
    said = more[1].casefold() in YES
    return None if _AGAINST[said].search(more[2]) else said


def _plain(text: str) -> str:
    """An answer without what people write differently: case, hyphens, blanks, a full stop."""
    if not text:
        return text
    words = text.replace("\u2019", "'").casefold().replace("_", " ").replace("-", " ").split()
    return " ".join(words).rstrip(".!") or text.strip()
