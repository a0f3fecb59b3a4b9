"""The shop's checks held against a concern that no update matches, and looked for by words."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from kb.advice.before_plan.checks_of_updates import answered_already, needs_road
from kb.advice.checks.fitting_checks import (
    CheckOffered,
    ToldOf,
    fitting,
    looked_for,
    spoken_of_by,
    systems_of,
)
from kb.advice.planning.problem_of_concern import LONG_WAIT
from kb.desk.bay.advice import checks_on_file
from kb.desk.bay.advice.concern_words import said_of
from kb.desk.bay.advice.follows_from_words import remembered
from kb.desk.bay.search import search_memory
from kb.desk.bay.search.entries import UPDATE
from kb.desk.context import Desk
from kb.nouns.advice import ConcernInHand
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.checks import CheckView
from kb.search.meaning import Meaning
from kb.words.concepts import Concept

_WEIGHTLESS = ("condition", "filler", "action", "vehicle")
"""Kinds of concepts that a check and a complaint may share without being about the same."""
Read = tuple[frozenset[str], frozenset[str]]
_THINGS, _SYMPTOMS = ("part", "system", "lamp"), ("symptom",)


def best_fits(desk: Desk, file: ConcernFile, in_hand: ConcernInHand) -> dict[str, str]:
    """Of a concern without a candidate: its three best checks by key, best first, each with why in words."""
    if in_hand.candidates:
        return {}
    done = {one.check_id for one in file.found}
    checks = {
        one.key: one
        for one in checks_on_file.list_checks(desk)
        if one.id not in done
        and _can_be_done(one, file, in_hand)
        and not checks_on_file.not_before_on(desk, file, one)
    }
    codes = {one.code: spoken_of_by(one.code) for one in file.codes}
    told = remembered(desk, file, "what checks may fit", lambda: _told(desk, file, codes), tuple(codes))
    offered = {key: _offered(desk, one) for key, one in checks.items()}
    return {key: _why(offered[key], told, codes) for key in fitting(tuple(offered.values()), told)}


def keys_looked_for(desk: Desk, typed: str) -> tuple[str, ...]:
    """Keys of the checks that these words look for, best first; those of single notes are left out."""
    checks = [one for one in checks_on_file.list_checks(desk) if not one.of_notes]
    return looked_for([_offered(desk, one) for one in checks], typed)


def _can_be_done(check: CheckView, file: ConcernFile, in_hand: ConcernInHand) -> bool:
    content = check.content
    return not (
        answered_already(check.key, file.codes_scanned, file.just_before)
        or (in_hand.stays_parked and needs_road(content.name, content.needs))
        or (in_hand.leaves_today and content.wait_minutes > LONG_WAIT)
    )


def _offered(desk: Desk, check: CheckView) -> CheckOffered:
    content = check.content
    text = f"{content.name}. {content.question}"
    key = desk.up_to("settings", "lexicon", "notes")
    words = desk.memory.recall(("words of check", check.id), key, lambda: _reader(desk)(text)[0])
    sought = f"{text} {content.yes_word} {content.no_word} {content.told_with}"
    return CheckOffered(check.key, content.system, sought, words, content.minutes, content.wait_minutes)


def _told(desk: Desk, file: ConcernFile, codes: dict[str, tuple[str, str]]) -> ToldOf:
    read = _reader(desk)
    words, systems = read(f"{said_of(file).text}. {file.just_before}")
    of_codes, _systems = read(". ".join(said for _system, said in codes.values()))
    return ToldOf(words, of_codes, systems, frozenset(system for system, _said in codes.values() if system))


def _reader(desk: Desk) -> Callable[[str], Read]:
    """Reads a text by the index's words and the shop talk of the moment."""
    index = search_memory.index(desk, (UPDATE,))
    known = search_memory.lexicon_in_force(desk).concepts
    return lambda text: _read(index.meaning(text), known)


def _read(meaning: Meaning, known: Mapping[str, Concept]) -> Read:
    """The stems of the words that carry something, and the systems of what is named, else of the symptoms."""
    kinds = {name: known[name].kind for name in meaning.concepts if name in known}
    stems = frozenset(
        word.stem
        for word in meaning.words
        if word.tells
        and not word.is_fine
        and len(word.stem) > 2
        and not any(kinds.get(name) in _WEIGHTLESS for name in word.concepts)
    )
    of_things, of_symptoms = (
        systems_of(known[name].system for name, kind in kinds.items() if kind in wanted)
        for wanted in (_THINGS, _SYMPTOMS)
    )
    return stems, of_things or of_symptoms


def _why(check: CheckOffered, told: ToldOf, codes: dict[str, tuple[str, str]]) -> str:
    """Such as "engine, P0171"; "any concern" for one that is for all."""
    by_code = [code for code, (system, _said) in codes.items() if system == check.system]
    system = [check.system] if check.system in told.systems | told.code_systems else []
    shared = ["what was said"] if check.words & told.words else []
    return ", ".join((*system, *by_code, *shared)) or "any concern"
