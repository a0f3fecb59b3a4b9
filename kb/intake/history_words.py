"""The words of the history file for what was seen before and after a reflash, and what came of it."""

from __future__ import annotations

from kb.errors import BadInput
from kb.intake.fields import read_yes_no
from kb.nouns.concerns import Duplicated, FollowUpResult, RoadTest

_CAME_OF_IT = {
    FollowUpResult.FINE: ("fine", "ok", "okay", "good", "cured", "fixed"),
    FollowUpResult.CAME_BACK: ("came back", "comeback", "come back", "returned", "not cured"),
    FollowUpResult.OTHER_CAUSE: ("other cause", "something else"),
    FollowUpResult.NEW_COMPLAINT: ("new complaint",),
    FollowUpResult.UPDATED_BY_AIR: ("updated by air", "over the air", "air update"),
    FollowUpResult.SOLD: ("sold",),
    FollowUpResult.NO_ANSWER: ("no answer", "not reached"),
}
_WORDS = {word: result for result, words in _CAME_OF_IT.items() for word in words}
_NOTHING = {"", "none", "-", "n/a"}
# What technicians write; common practice, no source. Whole answers only, so that "not good" is never "good".
_ROAD_TEST = {
    RoadTest.GONE: ("gone", "fixed", "good", "ok", "okay", "cured", "resolved", "pass", "passed", "all good"),
    RoadTest.STILL_THERE: (
        *("still there", "not gone", "not fixed", "not cured", "not ok", "not good", "no good", "no change"),
        *("same", "still does it", "fail", "failed"),
    ),
    RoadTest.CANNOT_SAY: ("cannot say", "can't say", "could not tell", "can't tell", "not sure"),
}
_ROAD_TEST_WORDS = {word: result for result, words in _ROAD_TEST.items() for word in words}
_DUPLICATED = {
    **dict.fromkeys(("not tried", "not checked"), Duplicated.NOT_TRIED),
    **dict.fromkeys(("duplicated", "verified", "confirmed"), Duplicated.YES),
    **dict.fromkeys(("could not duplicate", "cnd", "not duplicated", "not verified"), Duplicated.NO),
}


def read_came_of_it(text: str) -> tuple[str, FollowUpResult | None]:
    """The event column: the name of the programming event, or what came of the reflash."""
    word = _plain(text)
    if word in _NOTHING:
        return "", None
    result = _WORDS.get(word)
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


def _answer(text: str, words: str) -> bool | None:
    try:
        return read_yes_no(text)
    except BadInput as wrong:
        raise BadInput(f'"{text}" is not understood. Write {words}, or leave it empty.') from wrong


def _plain(text: str) -> str:
    return " ".join(text.casefold().replace("_", " ").replace("-", " ").split()) or text.strip()
