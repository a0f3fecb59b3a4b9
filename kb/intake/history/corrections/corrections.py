"""What was done about modules, read from the correction of a repair order line.

Clause by clause: an act ("reprogrammed", "updated software"), what it is on, how it stands (done, declined, a
dealer's, failed …), the number and the outcome told around it. What is not plain is `unsure`: a reflash that
was none spoils the record of an update, one that is missed only thins it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from kb.intake.history.corrections.acts import Act, act_in
from kb.intake.history.corrections.clauses import Clause, Text, text_in_clauses
from kb.intake.history.corrections.module_names import Named
from kb.intake.history.corrections.no_verb import change_told
from kb.intake.history.corrections.numbers import calibrations_of, number_of
from kb.intake.history.corrections.outcomes import outcome_after
from kb.intake.history.corrections.plain import is_plain
from kb.intake.history.corrections.said_words import FILE, words
from kb.intake.history.corrections.standing import kind_of, modules_of, told_without_act
from kb.nouns.history.corrections import CorrectionTold, JobTold, Kind, Place
from kb.vehicle.modules import module_called

MOST_LETTERS = 4000
_NO_WORD = re.compile(r"\S{60,}")
_SHORT = re.compile(r"[A-Z]{2,5}")
_LONGEST = 60
_SAY_LITTLE = (Kind.UNSURE, Kind.SETUP)
_CURED = re.compile(r"\b(?:fixed|cured|resolved|corrected)\b")
_OTHER_WORK = words(FILE["other_work"]["done"])


def read_correction(text: str) -> CorrectionTold:
    """Everything that the text tells, in its order; never fails."""
    text = _NO_WORD.sub(lambda found: " " * len(found[0]), text[:MOST_LETTERS])
    said = text_in_clauses(text)
    jobs: list[JobTold] = []
    for at, clause in enumerate(said.clauses):
        if act := act_in(clause):
            jobs += _jobs(text, said, at, act)
        elif kind := told_without_act(said, at):
            jobs.append(_job(text, said, clause, kind))
    if all(one.kind in _SAY_LITTLE for one in jobs) and (changed := change_told(said)):
        at = next(n for n, one in enumerate(said.clauses) if one.start == changed.clause.start)
        jobs = [*_jobs(text, said, at, changed), *(one for one in jobs if one.kind is not Kind.UNSURE)]
    return CorrectionTold(tuple(_each_once(jobs)), tuple(_other_work(text, said)))


def _job(text: str, said: Text, clause: Clause, kind: Kind) -> JobTold:
    module = _as_written(text, said, clause.modules[0]) if clause.modules else ""
    return JobTold(kind, module, marks=(said.words.place(clause.start, clause.end),))


def _jobs(text: str, said: Text, at: int, act: Act) -> Iterator[JobTold]:
    """One for each module that the act is on."""
    kind = kind_of(said, at, act)
    if kind is Kind.REFLASHED and not is_plain(said, at, act):
        kind = Kind.UNSURE
    modules = modules_of(said, at, act)
    number = number_of(said, at)
    begin, end = act.clause.start + act.start, act.clause.start + act.end
    reflashed = kind is Kind.REFLASHED
    told_in_it = begin if _CURED.search(act.told) else end
    came_of_it = outcome_after(said.clauses, told_in_it) if reflashed else None
    for module in modules or (None,):
        read = [(begin, end), *((one.start, one.end) for one in (module, number) if one)]
        marks = [said.words.place(*one) for one in (*read, *((came_of_it[1],) if came_of_it else ()))]
        name = module.name if module else ""
        called = _as_written(text, said, module) if module else ""
        old, new, where = calibrations_of(text, name) if reflashed else ((), "", ())
        yield JobTold(
            kind,
            called,
            number.name if number else "",
            old,
            new,
            came_of_it[0] if came_of_it else None,
            act.wording,
            _apart([*marks, *where]),
        )


def _as_written(text: str, said: Text, module: Named) -> str:
    """The shop's own abbreviation ("PCM"); words for a module by the name of the table."""
    begin, end = said.words.place(module.start, module.end)
    written = text[begin:end].upper()
    return written if _SHORT.fullmatch(written) and module_called(written) else module.name


def _apart(places: list[Place]) -> tuple[Place, ...]:
    """In order; those that overlap become one."""
    found: list[Place] = []
    for begin, end in sorted(places):
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((begin, end))
    return tuple(found)


def _each_once(jobs: list[JobTold]) -> Iterator[JobTold]:
    """A module that is told twice was reflashed once; an act whose module is not said is one told beside."""
    named = {one.module for one in jobs if one.kind is Kind.REFLASHED and one.module}
    met: set[str] = set()
    for one in jobs:
        if one.kind is Kind.REFLASHED:
            if one.module in met or (named and not one.module):
                continue
            met.add(one.module)
        yield one


def _other_work(text: str, said: Text) -> Iterator[str]:
    """Work beside, in the words as written."""
    for clause in said.clauses:
        found = _OTHER_WORK.search(clause.words)
        if found and found.start() == 0 and not clause.modules and act_in(clause) is None:
            begin, end = said.words.place(clause.start, clause.end)
            yield re.sub(r"\s+", " ", text[begin:end])[:_LONGEST].strip()
