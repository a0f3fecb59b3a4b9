"""The words of the history file for what was seen before and after a reflash, and what came of it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from kb.errors import BadInput
from kb.intake.fields import read_day, read_yes_no
from kb.nouns.concerns import Duplicated, FollowUpResult, HowHeard, RoadTest

# What technicians write; common practice, no source. Whole answers only, so that "not good" is never "good".
_GONE = ("gone", "fixed", "good", "ok", "okay", "cured", "resolved", "pass", "passed", "all good")
_NOT_GONE = (
    *("still there", "not gone", "not fixed", "not cured", "not ok", "not good", "no good", "no change"),
    *("same", "still does it", "fail", "failed"),
)
_CAME_BACK = ("came back", "comeback", "come back", "returned", "back again", *_NOT_GONE)
_CAME_OF_IT = {
    FollowUpResult.FINE: ("fine", *_GONE),
    FollowUpResult.CAME_BACK: _CAME_BACK,
    FollowUpResult.OTHER_CAUSE: ("other cause", "something else"),
    FollowUpResult.NEW_COMPLAINT: ("new complaint",),
    FollowUpResult.UPDATED_BY_AIR: ("updated by air", "over the air", "air update"),
    FollowUpResult.SOLD: ("sold",),
    FollowUpResult.NO_ANSWER: ("no answer", "not reached"),
    FollowUpResult.SEEN_NOT_ASKED: ("seen not asked", "seen, not asked", "here for other work"),
}
_WORDS = {word: result for result, words in _CAME_OF_IT.items() for word in words}
_EMPTY = {"", "-", "n/a", "na"}
_NOTHING = {*_EMPTY, "none"}
_NOT_BACK = {"none", "never", "no comeback", "not returned", "did not return", "did not come back"}
_SOME_DAY = {"unknown", "not known", "?", "day unknown", "date unknown", "unknown day", "unknown date"}
_ROAD_TEST = {
    RoadTest.GONE: _GONE,
    RoadTest.STILL_THERE: _NOT_GONE,
    RoadTest.CANNOT_SAY: ("cannot say", "can't say", "could not tell", "can't tell", "not sure"),
}
_ROAD_TEST_WORDS = {word: result for result, words in _ROAD_TEST.items() for word in words}
_DUPLICATED = {
    **dict.fromkeys(("not tried", "not checked"), Duplicated.NOT_TRIED),
    **dict.fromkeys(("duplicated", "verified", "confirmed"), Duplicated.YES),
    **dict.fromkeys(("could not duplicate", "cnd", "not duplicated", "not verified"), Duplicated.NO),
}


_HEARD = {
    **dict.fromkeys(("unasked", "not asked", "by itself", "came in"), HowHeard.UNASKED),
    **dict.fromkeys(("asked", "called", "on asking", "by call"), HowHeard.ASKED),
}


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
    """The day it came back; yes and unknown: on a day that nobody knows; no and none: it did not."""
    word = _plain(text)
    if word in _EMPTY:
        return NOTHING_SAID
    if word in _SOME_DAY or _WORDS.get(word) is FollowUpResult.CAME_BACK:
        return CameBack(came_back=True)
    if word in _NOT_BACK:
        return CameBack(denied=True)
    try:
        said = read_yes_no(word)
    except BadInput:
        return CameBack(read_day(text))
    return CameBack(came_back=bool(said), denied=not said)


def read_came_back(text: str) -> CameBack:
    """Whether it came back: yes, no, its day, or a word for what came of it. Unknown says nothing."""
    word = _plain(text)
    result = _WORDS.get(word)
    if word in _SOME_DAY or word in _EMPTY:
        return NOTHING_SAID
    if result not in (None, FollowUpResult.CAME_BACK):
        return CameBack(result=result)
    try:
        said = read_returned(text)
    except BadInput as wrong:
        raise BadInput(f'"{text}" is not understood. Write yes, no, or the day it came back.') from wrong
    return CameBack(said.day, said.came_back or said.day is not None, said.denied)


def is_unknown(text: str) -> bool:
    """Somebody wrote down that it is not known."""
    return _plain(text) in _SOME_DAY


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
    return _WORDS.get(_plain(text))


def is_no(text: str) -> bool:
    """No cause was found, say."""
    return says_nothing(text) or text.casefold() in ("no", "none found", "not found")


def says_nothing(text: str) -> bool:
    return _plain(text) in _NOTHING


def read_came_of_it(text: str) -> tuple[str, FollowUpResult | None]:
    """The event column: the name of the programming event, or what came of the reflash."""
    if says_nothing(text):
        return "", None
    result = word_of_outcome(text)
    return ("", result) if result else (text, None)


def read_duplicated(text: str) -> Duplicated:
    """Whether the concern was duplicated before: yes, no, not tried; empty counts as yes."""
    if _plain(text) in _DUPLICATED:
        return _DUPLICATED[_plain(text)]
    return Duplicated.NO if _answer(text, "yes, no or not tried") is False else Duplicated.YES


def read_road_test(text: str) -> RoadTest | None:
    """Whether it was gone at the road test: yes, no, cannot say, or what shops write; empty is not known."""
    word = _plain(text.replace("\u2019", "'"))
    if word in _ROAD_TEST_WORDS:
        return _ROAD_TEST_WORDS[word]
    if word in _NOTHING:
        return None
    answer = _answer(text, "yes, no or cannot say")
    return None if answer is None else RoadTest.GONE if answer else RoadTest.STILL_THERE


def read_other_work(text: str) -> tuple[str, ...]:
    """What else was done in the visit, parted by semicolons; a bare yes is kept as "yes"."""
    try:
        return ("yes",) if read_yes_no(text) else ()
    except BadInput:
        if _plain(text) in _NOTHING:
            return ()
        return tuple(part.strip() for part in text.split(";") if part.strip())


def read_heard(text: str) -> HowHeard | None:
    """Whether somebody had to ask; None for words that say neither."""
    word = _plain(text)
    return HowHeard.NOT_SAID if word in _NOTHING else _HEARD.get(word)


def _answer(text: str, words: str) -> bool | None:
    try:
        return read_yes_no(text)
    except BadInput as wrong:
        raise BadInput(f'"{text}" is not understood. Write {words}, or leave it empty.') from wrong


def _plain(text: str) -> str:
    if not text:
        return text
    return " ".join(text.casefold().replace("_", " ").replace("-", " ").split()) or text.strip()
