"""What kind of job an act is, by its clause and by what the text tells around it."""

from __future__ import annotations

import re

from kb.intake.history.corrections.acts import (
    NEW_IDS,
    SAME,
    Act,
    act_in,
    names_software,
    object_of,
    standing_of,
    tells_new_software,
)
from kb.intake.history.corrections.clauses import Clause, Text
from kb.intake.history.corrections.module_names import ANY, Named
from kb.intake.history.corrections.outcomes import outcome_after
from kb.intake.history.corrections.said_words import AFTERWARDS, OBJECTS, STANDING, WORDINGS, words
from kb.nouns.history.corrections import Kind
from kb.vehicle.modules import same_module

_DONE = words("{done}")
_CALLED_FOR = words("(?:calls? for|states to|says to|requires)")
_DONE_AT_ONCE = words("(?:{done}|installed|loaded)(?: (?:it|same|today|okay|successfully))?")
_NOT_YET = words("not (?:yet )?(?:been )?(?:updated|reprogrammed|reflashed|flashed)")
_WITH_FILE = words(r"(?:with|to) (?:the )?(?:[\w.-]+ )?(?:{ware}|level|version|rev)")
_MODULE_SOFTWARE = re.compile(r"\bM+ (?:software|calibration|update|firmware)\b")
_LOOK_BACK, _SAME_BACK = 3, 2


def kind_of(said: Text, at: int, act: Act) -> Kind:
    """Of the act in the clause at that place."""
    standing = standing_of(act)
    what = object_of(act) or (_inherited(said, at, act) if standing is Kind.REFLASHED else None)
    if what:
        return what
    if WORDINGS["nothing_done"].search(said.masked):
        return Kind.NOT_DONE
    later = _until_next_act(said, at)
    if _is_done_behind(act, standing, later):
        standing = Kind.REFLASHED
    if standing is Kind.RECOMMENDED and any(AFTERWARDS["declined"].search(one.words) for one in later):
        return Kind.DECLINED
    if standing is Kind.FAILED:
        return Kind.REFLASHED if _recovered(said, at, act) else Kind.FAILED
    if standing is Kind.ELSEWHERE or (standing is Kind.REFLASHED and _sent_away(said, at)):
        standing = Kind.REFLASHED if _done_for_us(said, at, act) else Kind.ELSEWHERE
    if standing in (Kind.REFLASHED, Kind.UNSURE):
        standing = _by_its_sentence(said, at, act, standing)
    if standing is not Kind.REFLASHED:
        return standing
    if _replaced(said, at, act):
        return Kind.REPLACED
    return _how_it_ended(said, at, act, later)


def _is_done_behind(act: Act, standing: Kind, later: tuple[Clause, ...]) -> bool:
    """Called for, or not yet done, and done right behind: "not yet updated. Did TSB 22-4015"."""
    if standing is Kind.RECOMMENDED and later:
        called_for = (
            _CALLED_FOR.search(act.before) or act.after == "available" or act.told.endswith(" available")
        )
        return bool(called_for and _DONE_AT_ONCE.fullmatch(later[0].words))
    not_yet = standing is Kind.NOT_DONE and _NOT_YET.search(act.clause.words)
    return bool(not_yet and any(WORDINGS["bulletin_done"].search(one.words) for one in later[:2]))


def _by_its_sentence(said: Text, at: int, act: Act, standing: Kind) -> Kind:
    """What is told around it: of an act only named ("TCM reflash"), that it is to come or was done."""
    led = _sentence_before(said, at)
    if any(STANDING["headed"].fullmatch(one.words) for one in led):
        return Kind.BEFORE
    if any(STANDING["told_in_sentence"].search(one.words) for one in led) and (
        not act.is_past or STANDING["had"].search(act.clause.words)
    ):
        return Kind.BEFORE
    if act.is_past:
        return standing
    if any(STANDING["recommended_in_sentence"].search(one.words) for one in led):
        return Kind.RECOMMENDED
    around = said.clauses[max(0, at - 1) : at + 2]
    if not _DONE.search(act.clause.words) and any(STANDING["to_come"].search(one.words) for one in around):
        return Kind.RECOMMENDED
    if not (modules_of(said, at, act) or said.numbers or _WITH_FILE.search(act.after)):
        return Kind.UNSURE
    came_of_it = outcome_after(said.clauses, act.clause.start + act.end)
    return Kind.REFLASHED if came_of_it else standing


def _done_for_us(said: Text, at: int, act: Act) -> bool:
    """A dealer's work that this visit paid for and had back, or that of somebody hired who came."""
    around = " ".join(one.words for one in said.clauses[max(0, at - 1) : at + 2])
    hired = WORDINGS["hired"].search(around)
    if hired and act.is_past and not WORDINGS["came_to_nothing"].search(act.clause.words):
        told_of = outcome_after(said.clauses, act.clause.start + act.end)
        return bool(told_of or WORDINGS["had_here"].search(around))
    text = " ".join(one.words for one in said.clauses[: at + 1])
    rest = " ".join(one.words for one in said.clauses[at:])
    if WORDINGS["sent"].search(text) and WORDINGS["is_back"].search(rest):
        return True
    return not STANDING["to_go"].search(text) and bool(STANDING["back"].search(rest))


def _how_it_ended(said: Text, at: int, act: Act, later: tuple[Clause, ...]) -> Kind:
    if not act.is_past and later and AFTERWARDS["declined"].search(later[0].words):
        return Kind.DECLINED
    if any(AFTERWARDS["failed"].search(one.words) for one in later[:2]) and not _recovered(said, at, act):
        return Kind.FAILED
    plain = tells_new_software(act) or (act.clause.modules and _is_told_of(said, at))
    return Kind.REFLASHED if plain else Kind.UNSURE


def _is_told_of(said: Text, at: int) -> bool:
    """A bulletin was named just before the act, or how the vehicle did behind it."""
    papers = any(one.numbers for one in said.clauses[max(0, at - 1) : at])
    return papers or outcome_after(said.clauses, said.clauses[at].end) is not None


def _until_next_act(said: Text, at: int) -> tuple[Clause, ...]:
    found = []
    for clause in said.clauses[at + 1 :]:
        if act_in(clause):
            break
        found.append(clause)
    return tuple(found)


def _recovered(said: Text, at: int, act: Act) -> bool:
    """Behind a failure it is told that another try went through."""
    rest = act.after + " " + " ".join(one.words for one in said.clauses[at + 1 :])
    again = AFTERWARDS["recovered"].search(rest)
    return bool(again and AFTERWARDS["succeeded"].search(rest[again.start() :]))


def _sent_away(said: Text, at: int) -> bool:
    return any(WORDINGS["sent"].search(one.words) for one in said.clauses[: at + 1])


def _replaced(said: Text, at: int, act: Act) -> bool:
    """The module of the act was replaced by the words before it or in its own clause."""
    mine = {one.name for one in modules_of(said, at, act)}
    for found in WORDINGS["replaced"].finditer(said.masked[: _end_of_sentence(said, at)]):
        theirs = {one.name for one in said.modules if found.start() <= one.start < found.end()}
        if not mine or not theirs or any(same_module(one, other) for one in mine for other in theirs):
            return True
    return _is_on_new_part(said, at, act)


def _is_on_new_part(said: Text, at: int, act: Act) -> bool:
    """Told of a new sensor or camera in its sentence, and of no module."""
    if act.clause.modules or act.clause.numbers or not WORDINGS["on_the_part"].search(act.clause.words):
        return False
    return any(WORDINGS["new_part"].search(one.words) for one in _sentence_before(said, at))


def _end_of_sentence(said: Text, at: int) -> int:
    stops = (one.start for one in said.clauses[at + 1 :] if one.after_stop)
    return next(stops, len(said.masked))


def _sentence_before(said: Text, at: int) -> tuple[Clause, ...]:
    """The clauses of its sentence that stand before it."""
    first = max((n for n in range(at + 1) if said.clauses[n].after_stop), default=0)
    return said.clauses[first:at]


def _inherited(said: Text, at: int, act: Act) -> Kind | None:
    """Of an act that does not say what it is on: the thing named before, if that is no module."""
    if act.wording == SAME:
        few_before = said.clauses[max(0, at - _SAME_BACK) : at]
        told = (act_in(one) or _MODULE_SOFTWARE.search(one.words) for one in few_before)
        return None if any(told) else Kind.UNSURE
    if names_software(act) or act.wording in ("reflashed", "updated software", NEW_IDS):
        return None
    for clause in reversed(said.clauses[max(0, at - _LOOK_BACK) : at]):
        if clause.modules or clause.numbers:
            return None
        for name, pattern in OBJECTS.items():
            if pattern.search(clause.words):
                return Kind(name)
        if WORDINGS["of_modules"].search(clause.words):
            return None
    return Kind.UNSURE


def modules_of(said: Text, at: int, act: Act) -> tuple[Named, ...]:
    """Those that the clause names; where it names none, of the nearest clause before, else behind it."""
    if act.clause.modules:
        return _different(act.clause.modules)
    back = reversed(said.clauses[max(0, at - _LOOK_BACK) : at])
    ahead = said.clauses[at + 1 : at + 2]
    for clause in (*back, *ahead):
        if clause.modules and not (clause in ahead and act_in(clause)):
            return _different(clause.modules)
    return ()


def _different(modules: tuple[Named, ...]) -> tuple[Named, ...]:
    """Each once; "ecu" beside a name is that one."""
    first: dict[str, Named] = {}
    for one in modules:
        first.setdefault(one.name, one)
    named = tuple(one for one in first.values() if one.name != ANY)
    return named or tuple(first.values())


def told_without_act(said: Text, at: int) -> Kind | None:
    """Of a clause that tells no act: what else it says of software, or None."""
    clause = said.clauses[at]
    of_software = WORDINGS["of_modules"].search(clause.words)
    if of_software and STANDING["nothing_newer"].search(clause.words):
        return Kind.NOTHING_NEWER
    if WORDINGS["bulletin_done"].search(clause.words):
        return Kind.UNSURE
    if WORDINGS["set_up"].search(clause.words):
        return next((Kind(name) for name, one in OBJECTS.items() if one.search(clause.words)), None)
    return None
