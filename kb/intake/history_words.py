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


def read_came_of_it(text: str) -> tuple[str, FollowUpResult | None]:
    """The event column: the name of the programming event, or what came of the reflash."""
    word = _plain(text)
    if word in _NOTHING:
        return "", None
    result = _WORDS.get(word)
    return ("", result) if result else (text, None)


def read_duplicated(text: str) -> Duplicated:
    """Whether the concern was duplicated before: yes, no, not tried; empty counts as yes."""
    if _plain(text) == "not tried":
        return Duplicated.NOT_TRIED
    return Duplicated.NO if _answer(text, "yes, no or not tried") is False else Duplicated.YES


def read_road_test(text: str) -> RoadTest | None:
    """Whether it was gone at the road test: yes, no, cannot say; empty is not known."""
    named = {"gone": RoadTest.GONE, "still there": RoadTest.STILL_THERE, "cannot say": RoadTest.CANNOT_SAY}
    if _plain(text) in named:
        return named[_plain(text)]
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
