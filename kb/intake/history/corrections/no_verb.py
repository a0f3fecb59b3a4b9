"""A change told without a verb: "PCM file XC0071 OUT, XC0078 IN", "19-044 done (TCM)".

Two IDs that are alike ("31BC02", "31BC05") with words of old and new between or around them, a module named
beside them or software, and nothing that makes them the numbers of parts or leaves the change to be done;
or the number of a bulletin done, and beside it nothing but a module.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from kb.intake.history.corrections.acts import NEW_IDS, Act, tells_amount
from kb.intake.history.corrections.clauses import Clause, Text
from kb.intake.history.corrections.said_words import ACTS, WORDINGS, words
from kb.intake.text.calibration.words import is_id

_WORD = re.compile(r"\S+")
_SHORT_ID = re.compile(r"\d[a-z]\d|[a-z]\d\d|\d\d[a-z]")
_MODULE, _DONE = re.compile("M+"), words("{done}")
_BULLETIN = ACTS["performed the bulletin"]
_SHORTEST, _SHORTEST_NAMED = 5, 3
_SAME_BEGIN, _MOST_BETWEEN, _BESIDE = 2, 5, 1
_LABEL, _TAIL = 20, 6


def change_told(said: Text) -> Act | None:
    """The first change told in the text, as an act of the clauses that tell it."""
    for begin, end in _changes(said.words.read):
        inside = [n for n, one in enumerate(said.clauses) if one.start < end and begin < one.end]
        clause = _joined(said, inside) if inside else None
        named = clause and (clause.modules or WORDINGS["id_named"].search(clause.words))
        if clause and named and not WORDINGS["no_id_change"].search(clause.words):
            return Act(clause, NEW_IDS, begin - clause.start, end - clause.start)
    return _bulletin_on_module(said)


def _bulletin_on_module(said: Text) -> Act | None:
    """Of two or three clauses, one of which names the module and no more."""
    for some in (inside for many in (2, 3) for inside in _windows(len(said.clauses), many)):
        each = [said.clauses[n].words for n in some]
        told = " ".join(each)
        named = any(_MODULE.fullmatch(one) for one in each)
        if named and _BULLETIN.search(told) and _DONE.search(told):
            clause = _joined(said, some)
            return Act(clause, "performed the bulletin", 0, len(clause.words))
    return None


def _windows(count: int, many: int) -> Iterator[list[int]]:
    return (list(range(first, first + many)) for first in range(count - many + 1))


def _changes(read: str) -> Iterator[tuple[int, int]]:
    """From the old ID to the new one."""
    ids = [one for one in _WORD.finditer(read) if _may_be_id(one[0])]
    for old, new in pairwise(ids):
        between = read[old.end() : new.start()]
        before = read[: old.start()][-_LABEL:]
        around = f"{before} {between} {read[new.end() :][:_TAIL]}"
        told = WORDINGS["old_to_new"].search(around) and len(between.split()) <= _MOST_BETWEEN
        shortest = _SHORTEST_NAMED if WORDINGS["id_named"].search(before) else _SHORTEST
        if told and _are_alike(old[0], new[0]) and len(old[0]) >= shortest:
            yield old.start(), new.end()


def _are_alike(one: str, other: str) -> bool:
    alike = one[:_SAME_BEGIN] == other[:_SAME_BEGIN] and abs(len(one) - len(other)) <= 1
    return alike and one != other and not one.isdigit()


def _may_be_id(word: str) -> bool:
    return not tells_amount(word) and (is_id(word.upper()) or bool(_SHORT_ID.fullmatch(word)))


def _joined(said: Text, inside: list[int]) -> Clause:
    """Those clauses as one; with the ones beside them where they name no module."""
    first, last = inside[0], inside[-1]
    if not any(said.clauses[n].modules for n in inside):
        first, last = max(0, first - _BESIDE), min(len(said.clauses) - 1, last + _BESIDE)
    some = said.clauses[first : last + 1]
    return Clause(
        said.masked[some[0].start : some[-1].end],
        some[0].start,
        tuple(module for one in some for module in one.modules),
        tuple(number for one in some for number in one.numbers),
        some[0].after_stop,
    )
