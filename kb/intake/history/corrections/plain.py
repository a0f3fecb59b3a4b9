"""Whether an act is told so plainly that it may be proposed: done here, in this visit, by this shop.

A rule for each phrase holds for the hand that wrote the phrase. These ask of any act who did it,
when, whether it was done at all and on what; what leaves a doubt, in its clause or beside it, is shown to
somebody instead.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from kb.intake.history.corrections.acts import NEW_IDS, Act
from kb.intake.history.corrections.clauses import Text
from kb.intake.history.corrections.outcomes import outcome_after
from kb.intake.history.corrections.said_words import DOUBTS, STANDING

_NOT_DONE_YET = re.compile(
    r"\b(?:to|be|being|for|until|before|without|after|by|of|since|during|while|when|once|not|no|never|nothing|none)"
    r"(?: (?:the|a|an|we|i|it|M+|yet|been|\w+ly))* ?$"
)
_SIGN = re.compile(r"[.,;:!?()*=|#>]")


def is_plain(said: Text, at: int, act: Act) -> bool:
    """Of an act read as a reflash in the clause at that place."""
    doubts = (
        _is_of_others(said, at, act),
        act.wording != NEW_IDS and _is_to_come(_lead(said, at, act), act),
        any(DOUBTS["to_come_ahead"].search(one) for one in _sentence(said, at, act)[:-1]),
        any(DOUBTS["denied"].search(one) for one in _around(said, at, 1, 2)),
        act.is_past and act.wording != NEW_IDS and not _is_by_us(_lead(said, at, act)),
        DOUBTS["setting"].search(act.clause.words),
        DOUBTS["no_release"].search(said.masked) or said.masked[act.clause.end :].lstrip().startswith("?"),
        DOUBTS["new_part"].search(said.masked[: act.clause.end]),
        not _has_object(said, at, act),
        not act.is_past and _is_only_named(said, at, act),
    )
    return not any(doubts)


def _sentence(said: Text, at: int, act: Act) -> list[str]:
    """Its clauses up to that of the act."""
    first = max((n for n in range(at + 1) if said.clauses[n].after_stop), default=0)
    ahead = [one.words for one in said.clauses[first:at] if one.start < act.clause.start]
    return [*ahead, act.clause.words]


def _around(said: Text, at: int, back: int, ahead: int) -> Iterator[str]:
    return (one.words for one in said.clauses[max(0, at - back) : at + ahead + 1])


def _lead(said: Text, at: int, act: Act) -> str:
    """The words that lead to the act, since the last sign: a clause may begin at the act itself."""
    return _SIGN.split(said.masked[: act.clause.start + act.start])[-1]


def _is_of_others(said: Text, at: int, act: Act) -> bool:
    sentence = " . ".join(_sentence(said, at, act))
    others = any(DOUBTS[name].search(sentence) for name in ("others", "told_by", "before"))
    hired = DOUBTS["hired"].search(sentence) and not DOUBTS["hired_here"].search(
        " . ".join(_around(said, at, 1, 2))
    )
    return bool(others or hired or DOUBTS["dealer"].search(said.masked))


def _is_by_us(lead: str) -> bool:
    last = lead.rsplit(maxsplit=1)[-1:]
    return not last or DOUBTS["agent"].fullmatch(last[0]) is not None


def _is_to_come(lead: str, act: Act) -> bool:
    wanted = DOUBTS["to_come"].search(lead) or DOUBTS["to_come_behind"].search(act.after)
    return bool(wanted or _NOT_DONE_YET.search(lead))


def _has_object(said: Text, at: int, act: Act) -> bool:
    near = any(DOUBTS["object_near"].search(one) for one in _around(said, at, 3, 2))
    return bool(near or DOUBTS["object"].search(act.clause.words))


def _is_only_named(said: Text, at: int, act: Act) -> bool:
    """A "TCM reflash" and no more, which may stand in a quote as well as among work done."""
    beside = [one for one in _around(said, at, 1, 1) if one != act.clause.words]
    names = ("others", "told_by", "before", "to_come")
    if any(DOUBTS[name].search(one) for one in beside for name in names):
        return True
    if DOUBTS["to_come"].search(act.clause.words):
        return True
    if DOUBTS["done"].search(act.clause.words) or DOUBTS["two_ids"].search(act.clause.words):
        return False
    return not (_is_a_line_of_its_own(act) and _tells_work(said, at, act))


def _is_a_line_of_its_own(act: Act) -> bool:
    """Before it stands nothing but what it is on, and behind it no word that makes it something else."""
    led = not act.before or STANDING["bare"].fullmatch(act.before)
    return bool(led and (not act.after or DOUBTS["goes_on"].match(act.after)))


def _tells_work(said: Text, at: int, act: Act) -> bool:
    if outcome_after(said.clauses, act.clause.start + act.end):
        return True
    return any(DOUBTS["work"].search(one) for one in _around(said, at, 1, 2) if one != act.clause.words)
