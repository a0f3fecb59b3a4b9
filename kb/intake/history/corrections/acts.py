"""Where a clause tells that software was, or was to be, put into a module; and how that stands."""

from __future__ import annotations

import re
from dataclasses import dataclass

from kb.intake.history.corrections.clauses import Clause
from kb.intake.history.corrections.said_words import ACTS, FILE, OBJECTS, STANDING, WORDINGS, words
from kb.nouns.history.corrections import Kind

_SOFTWARE, _IT = WORDINGS["ware_noun"], WORDINGS["it"]
_FRESH, _THING = words("{fresh}"), words("{thing}")
_NEW_WARE = words(r"{fresh} (?:[\w-]+ )?(?:{ware}|level|version|rev)|(?:to|with) (?:the )?{fresh}|latest")
_BY_PAPER = re.compile(r"\bupdate|\bper (?:tsb|bulletin|campaign|recall|factory|hotline)\b")
_WHY = re.compile(r"\b(?:for|due to|because|so|to fix|to correct|concern)\b.*")
_EVIDENCE = WORDINGS["evidence"]
_PAST = re.compile(r"(?:\w+ed|wrote|rewrote|written|put|brought|did|got|took|ran|gave|done|completed?)")
_HOW = ("updated", "revised", "improved", "corrected", "upgraded")
_TO = re.compile(r"\b(?:to|be|being|not|get|gets|having|have|need|needs|want|wants)(?: \w+ly)?$")
_WITH_SOFTWARE = ("radio", "bluetooth", "navigation")
_FLASHED = re.compile(
    r"flash(?: (?:was )?(?:done|complete|completed|performed|okay))?$"
    r"|flashed(?: (?:okay|success\w*|per|with|using|by|via|twice|again|up|fine)\b|$)"
)
_PERFORMED = re.compile(rf"\b{FILE['wordings']['performing']}(?: [\w-]+){{0,2}}$")
_DRIVELINE = re.compile(r"\b(?:transmission|engine)\b")
_NEAR = 12
_AMOUNT = words(
    r"\d+(?:[.,/]\d+)?(?:m?ah|cca|mm|cm|cc|ml|psi|kpa|bar|mph|km|rpm|lbs?|nm|ohms?|k?hz|ms|kw|hp|secs?|mins?|hrs?|pct)"
    r"|\d{1,2}(?:\.\d+)?v|\d+\.\d+a"
)
"""A figure with its unit ("80ah", "13.6v"), which no calibration has."""
_IS_OUT = re.compile(r"\b(?:is|are) (?:now )?(?:out|available|released)\b(?! of)")
NEW_IDS, SAME = "new calibration", "did the same"
_AIMED = ("camera", "ADAS", "EPS", "EPB", "ABS", "SRS", "door")


@dataclass(frozen=True, slots=True)
class Act:
    """An act told by the words of `clause` from `start` to `end`, put together under `wording`."""

    clause: Clause
    wording: str
    start: int
    end: int

    @property
    def told(self) -> str:
        return self.clause.words[self.start : self.end]

    @property
    def before(self) -> str:
        return self.clause.words[: self.start].strip()

    @property
    def after(self) -> str:
        return self.clause.words[self.end :].strip()

    @property
    def is_past(self) -> bool:
        """It is told as done: "reprogrammed", not "to be reprogrammed" and not "reprogram"."""
        if self.wording == NEW_IDS:
            return not _TO.search(self.before)
        led = self.told.startswith("updated ") and WORDINGS["article"].search(self.before)
        if led or _IS_OUT.search(self.after):
            return bool(WORDINGS["performing"].search(self.before))
        if _PERFORMED.search(self.before):
            return True
        said = self.told.split(" ")
        ends = said[-1] == "updated" and len(said) > 1
        done = _PAST.fullmatch(said[0]) or any(_PAST.fullmatch(one) for one in said if one not in _HOW)
        return bool(done or ends) and not _TO.search(self.before)


def act_in(clause: Clause) -> Act | None:
    """The first act of a clause; a flashing lamp is none."""
    for wording, pattern in ACTS.items():
        found = pattern.search(clause.words)
        if found and _is_meant(clause, wording, found):
            return Act(clause, wording, found.start(), found.end())
    return None


def _is_meant(clause: Clause, wording: str, found: re.Match[str]) -> bool:
    """A lamp flashes, a camera is aimed: neither is software."""
    if WORDINGS["looked_up"].search(clause.words, max(0, found.start() - _NEAR)) and wording != "reflashed":
        return False
    if _is_aimed(clause, found) or (wording == NEW_IDS and tells_amount(found[0])):
        return False
    if wording == "recalibrated":
        on = [one.name for one in clause.modules if one.name not in _AIMED]
        software = WORDINGS["of_software"].search(clause.words)
        return bool(on or clause.numbers or software or _DRIVELINE.search(clause.words))
    return not found[0].startswith("flash") or _is_software(clause, found)


def tells_amount(told: str) -> bool:
    """Of figures that were set or measured ("from 80ah to 92ah") and are no IDs."""
    return _AMOUNT.search(told) is not None


def _is_aimed(clause: Clause, found: re.Match[str]) -> bool:
    """Measured and set ("camera calibration completed"), which puts no software into a module."""
    if "calibrat" not in found[0] or WORDINGS["of_software"].search(clause.words):
        return False
    return bool(WORDINGS["aimed"].search(clause.words)) or any(one.name in _AIMED for one in clause.modules)


def _is_software(clause: Clause, found: re.Match[str]) -> bool:
    if WORDINGS["lamp"].search(clause.words) and not (clause.modules and found[0] != "flashing"):
        return False
    if _FLASHED.match(clause.words):
        return True
    rest = clause.words[: found.start()] + clause.words[found.end() :]
    named = clause.modules or clause.numbers or _THING.search(rest) or _IT.search(rest)
    return bool(named or _SOFTWARE.search(rest) or _FRESH.search(rest))


def names_software(act: Act) -> bool:
    """The clause itself says what the act is on: software, a module, or a bulletin's number."""
    said = act.clause
    return bool(said.modules or said.numbers or _SOFTWARE.search(said.words) or _THING.search(said.words))


def tells_new_software(act: Act) -> bool:
    """A bare "programmed ECM" may be a new module; one "with latest software" is a reflash."""
    if act.wording != "programmed":
        return True
    rest = act.before + " " + act.after
    return bool(act.clause.numbers or _NEW_WARE.search(rest) or _BY_PAPER.search(rest))


def object_of(act: Act) -> Kind | None:
    """The kind of job where something else than a module's software is programmed."""
    after = min((one.start - act.clause.start for one in act.clause.modules), default=len(act.clause.words))
    about = act.after if after <= act.start else act.clause.words[act.end : max(after, act.end)]
    ahead = f"{act.told} {_WHY.sub('', about).strip()}"
    whole = act.clause.words if not act.clause.modules else ahead
    soft = _SOFTWARE.search(act.clause.words)
    for name, pattern in OBJECTS.items():
        found = None if name == "setup" else pattern.search(ahead if act.clause.modules or soft else whole)
        if found and not (found[0] in _WITH_SOFTWARE and (soft or _FRESH.search(act.after))):
            return Kind(name)
    plain = soft or act.clause.numbers or _FRESH.search(act.clause.words)
    if not plain and (WORDINGS["learned"].search(about) or WORDINGS["learned"].search(act.clause.words)):
        return Kind.SETUP
    setup = act.wording == "programmed" or not (act.clause.modules or soft)
    return Kind.SETUP if setup and OBJECTS["setup"].search(whole) else None


def standing_of(act: Act) -> Kind:
    """What the clause itself says of the act in it; `unsure` where it names it and does not say more."""
    for name, kind in _KINDS.items():
        found = STANDING[name].search(act.clause.words)
        if found and _speaks_of_it(name, act, found):
            return kind
    if act.is_past:
        return Kind.REFLASHED
    if _is_to_come(act):
        return Kind.RECOMMENDED
    if STANDING["reference"].fullmatch(act.before) and not _EVIDENCE.search(act.after):
        return Kind.UNSURE
    done = (
        _EVIDENCE.search(act.clause.words) or STANDING["bare"].fullmatch(act.clause.words) or act.start == 0
    )
    return Kind.REFLASHED if done else Kind.UNSURE


def _is_to_come(act: Act) -> bool:
    if STANDING["recommended_before"].search(act.before):
        return not re.search(r"\b(?:performed|did|done|completed)\b", act.before)
    later = STANDING["recommended_after"].search(act.after)
    return bool(later and not re.search(r"^(?:done|complete)", act.after))


def _speaks_of_it(name: str, act: Act, found: re.Match[str]) -> bool:
    """What was found before ("found newer calibration, flashed it") says nothing of an act that was done."""
    if name == "nothing_newer":
        if found[0].startswith("with") and act.start == 0 and found.start() >= act.end:
            return False
        inside = act.start <= found.start() < act.end and not found[0].startswith(("no", "up to"))
        return not act.is_past and not inside
    if name == "told_by":
        return found.end() <= act.start
    if name == "advised":
        return found.start() < act.end and found.end() > act.start
    if name == "not_done":
        return found.end() > act.start or not act.is_past
    return True


_KINDS = {
    "by_air": Kind.BY_AIR,
    "before": Kind.BEFORE,
    "told_by": Kind.BEFORE,
    "advised": Kind.RECOMMENDED,
    "elsewhere": Kind.ELSEWHERE,
    "declined": Kind.DECLINED,
    "not_done": Kind.NOT_DONE,
    "nothing_newer": Kind.NOTHING_NEWER,
    "failed": Kind.FAILED,
}
"""In the order in which they are looked for."""
