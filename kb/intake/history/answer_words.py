"""What shops write for what was seen and what came of it (answers.toml), by the answer."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import TypeVar

from kb.nouns.concerns import Duplicated, FollowUpResult, HowHeard, RoadTest
from kb.nouns.shop.ways import Way
from kb.nouns.word_files import word_file

Meaning = TypeVar("Meaning", bound=StrEnum)


def _by_answer(told: Mapping[str, list[str]], meaning: type[Meaning]) -> dict[str, Meaning]:
    return {answer: meaning(name) for name, answers in told.items() for answer in answers}


_TOLD = word_file("kb.intake.history", "answers.toml")
YES, NO = frozenset(_TOLD["yes"]), frozenset(_TOLD["no"])
EMPTY = frozenset(("", *_TOLD["empty"]))
NOTHING = EMPTY | {"none"}
SOME_DAY, NOT_BACK = frozenset(_TOLD["some_day"]), frozenset(_TOLD["not_back"])
DONE, NOT_DONE = frozenset(_TOLD["done"]), frozenset(_TOLD["not_done"])
ROAD_TESTS = _by_answer(_TOLD["road_test"], RoadTest)
_OF_ROAD_TEST = {
    FollowUpResult.FINE.value: _TOLD["road_test"]["gone"],
    FollowUpResult.CAME_BACK.value: _TOLD["road_test"]["still_there"],
}
OUTCOMES = _by_answer(_OF_ROAD_TEST, FollowUpResult) | _by_answer(_TOLD["came_of_it"], FollowUpResult)
DUPLICATED = _by_answer(_TOLD["duplicated"], Duplicated)
WAYS = _by_answer(_TOLD["way"], Way)
HEARD = _by_answer(_TOLD["heard"], HowHeard)
