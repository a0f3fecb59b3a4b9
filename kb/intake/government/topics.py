"""What a text is about where no sentence tells a fault: the words in it that are neither paper nor names."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from kb.intake.government.cutting import rules_others
from kb.intake.government.paperwork import CONNECTING, PAPERWORK
from kb.intake.government.title_words import TOLD_OF
from kb.nouns.vehicles import Coverage
from kb.vehicle.modules import modules_in
from kb.words.concepts import trade_concepts
from kb.words.normalise import stem

ENOUGH = 1.5
_WORD = re.compile(r"[^\W_](?:[\w'\u2019/.+-]*[\w+])?")
_ACTION = re.compile(
    r"(?:replacement|inspection|repair|update|upgrade|installation|rework|adjustment|reinforcement|re-?programming"
    r"|calibration|leak|failure|malfunction)s?",
    re.I,
)
_PARTED = re.compile(r"[,;:()]|\s[-\u2013]\s|\bwhat\b", re.I)
_LITTLE = re.compile(r"^(?:(?:a|an|the|of|to|on|in|for|with|and|or|its?|their|is|are|that|this)\s+)+", re.I)
_NAMING = ("part", "symptom", "system", "lamp", "cause")
_MORE_PARTS = frozenset(
    map(
        stem,
        """
        awning axle bracket bolt nut clamp hitch chain cylinder regulator propane stove refrigerator heater
        slide-out ladder step jack coupler hub rotor caliper pedal actuator gasket label placard decal rim
        bearing shaft joint arm rod plate spacer stud screw weld frame rail mirror wiper lens bulb module
        sensor switch relay fuse harness connector terminal cable wiring inverter charger converter
        compressor condenser pump injector rail hose line tank valve fitting seal o-ring washer pin latch
        hinge handle door hood liftgate tailgate window windshield glass seat belt buckle airbag inflator
        cushion curtain retractor camera radar display cluster software firmware logic reflector lamp
        headlamp tire wheel spring damper strut knuckle boot cover trim moulding molding deflector spoiler
        antenna extinguisher stand piston pipe exhaust step
        """.split(),  # noqa: SIM905 - a list of words reads better as text
    )
)
_NOT_ENOUGH = frozenset(
    map(
        stem,
        (
            *("hybrid", "electric", "electrical", "engine", "diesel", "chassis", "trailer", "system"),
            *("power", "vehicle", "drive"),
        ),
    )
)


def names_of(coverage: Coverage) -> frozenset[str]:
    """The words of the makes and models that are covered, folded; a recalled part's own name is none."""
    said = " ".join({line.make for line in coverage} | {line.model for line in coverage})
    words = {word.casefold() for word in [*_WORD.findall(said), *_WORD.findall(said.replace("-", " "))]}
    return frozenset(word for word in words if stem(word) not in _telling_words())


def topic(parts: Iterable[str], names: frozenset[str] = frozenset()) -> str:
    """The run with most words that are neither paperwork nor `names`; empty where none names a part."""
    best, most = "", ENOUGH
    for sentence in parts:
        run, score = _best_run(sentence, names) if "@" not in sentence else ("", 0.0)
        if score > most and _names_something(run := _said_once(run)):
            best, most = run, score
    return best


def _best_run(sentence: str, names: frozenset[str]) -> tuple[str, float]:
    """The span of words with the greatest sum of worths (Kadane), and that sum; none beside what rules it."""
    best, most, start, total, behind = (0, 0), 0.0, 0, 0.0, 0
    for found in _WORD.finditer(sentence):
        if total <= 0 or _PARTED.search(sentence[behind : found.end()]):
            start, total = found.start(), 0.0
        behind = found.end()
        worth = _worth(found[0].casefold(), names)
        total += 0.6 if total > 0 and _ACTION.fullmatch(found[0]) else worth
        better = total > most or (total == most and start == best[0])
        if total > 0 and better and (worth > 0 or _ACTION.fullmatch(found[0])):
            best, most = (start, found.end()), total
    run = _LITTLE.sub("", sentence[best[0] : best[1]])
    if rules_others(sentence[: best[0]]) or rules_others(sentence[best[1] :]):
        return "", 0.0
    told = TOLD_OF.search(sentence[: best[0]]) is not None
    return (run, most + (0.6 if told else 0.0)) if run[:1].isupper() or told else ("", 0.0)


def _said_once(run: str) -> str:
    """The run without what it says again: "Fuel tanks fuel tank replacement"."""
    words = run.split()
    stems = [stem(word.casefold()) for word in words]
    again = [i for i in range(1, len(stems)) if stems[i] in (stems[0], stems[i - 1])]
    once = words[again[-1] :] if again else words
    return run if rules_others(" ".join(words[: -len(once)])) else " ".join(once)


def _worth(word: str, names: frozenset[str]) -> float:
    if word in PAPERWORK or word in names or any(c.isdigit() for c in word):
        return -3.0
    return -0.3 if word in CONNECTING or len(word) < 3 else 1.0


def _names_something(run: str) -> bool:
    """Whether it names a part, a system, a module or what goes wrong."""
    return any(stem(word.casefold()) in _telling_words() for word in re.findall(r"[\w'-]+", run)) or any(
        True for _ in modules_in(run)
    )


@lru_cache(maxsize=1)
def _telling_words() -> frozenset[str]:
    """Stems of the words by which shop talk names parts, systems and faults."""
    concepts = [one for one in trade_concepts() if one.kind in _NAMING]
    single = {phrase[0] for one in concepts for phrase in one.phrases if len(phrase) == 1}
    return (frozenset(single) | _MORE_PARTS) - _NOT_ENOUGH
