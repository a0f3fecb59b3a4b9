"""A short title for a note that came without one: component, symptom or remedy, by rule from its texts.

Texts of recalls speak of letters, dealers and remedies as much as of the fault. First the sentence that
most speaks of a fault is looked for; where none does, the longest run of words that are not paperwork; then
what is done about it. Whose vehicle it is and the number stand in fields of their own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice

from kb.intake.government.cutting import ELLIPSIS, cut, rules_others, sentences, without_aside, without_lead
from kb.intake.government.remedies import RemedyRead
from kb.intake.government.sentence_case import sentence_case
from kb.intake.government.title_words import (
    ASIDE,
    BEGINS_WITH_IF,
    FAULT,
    INTRODUCTION,
    LEAD,
    LEANS_BACK,
    OF_VEHICLES,
    PAPER,
    SAYS_SOFTWARE,
    SHORTER,
    VEHICLES,
    VERB,
)
from kb.intake.government.topics import names_of, topic
from kb.nouns.notes import Remedy
from kb.nouns.vehicles import Coverage

LONGEST = 80
NOT_TOLD = "What it is about is not said in the texts on file"
_MOST_TEXTS = 15
_TAILS = {
    Remedy.SOFTWARE: "reprogram",
    Remedy.SOFTWARE_AND_PART: "reprogram and replace",
    Remedy.INSPECT_THEN_SOFTWARE: "inspect, then reprogram",
}
_ENOUGH_FAULT = 0.0


def compose(coverage: Coverage, texts: Sequence[str], read: RemedyRead, otherwise: str = "") -> str:
    """Fault and remedy: "Pump relay may overheat: reprogram"; `otherwise` where no text tells either."""
    names = names_of(coverage)
    parts = list(dict.fromkeys(_sentences(texts)))
    said = fault_clause(parts, names) or cut(topic(parts, names), LONGEST) or cut(otherwise, LONGEST)
    done = _TAILS.get(read.remedy, "")
    if not said:
        return sentence_case(f"{read.module}: {done}" if read.module else done) if done else NOT_TOLD
    said = sentence_case(said, names)
    return said if not done or SAYS_SOFTWARE.search(said) else _with_remedy(said, done)


def _with_remedy(said: str, done: str) -> str:
    """What is wrong and what is done, where both have room."""
    short = cut(said, LONGEST - len(done) - 2, FAULT)
    return said if short.endswith(ELLIPSIS) else f"{short}: {done}"


def fault_clause(parts: Iterable[str], names: frozenset[str] = frozenset()) -> str:
    """What most speaks of a fault and least of paperwork, in a title's length; empty where nothing does."""
    best, most = "", _ENOUGH_FAULT
    for sentence in filter(FAULT.search, parts):
        bare = _bare(sentence, names)
        score = _fault_score(bare) if FAULT.search(bare) else 0.0
        if score > most:
            best, most = bare, score
    return cut(best, LONGEST, FAULT)


def _bare(sentence: str, names: frozenset[str]) -> str:
    """The sentence without what says nothing of the fault, as far as that leaves its sense."""
    for long, short in SHORTER:
        sentence = long.sub(short, sentence)
    bare = without_lead(sentence, LEAD)
    bare = without_lead(_behind_vehicles(bare, names), LEAD).strip(" .;,-")
    if len(bare) > LONGEST:
        bare = without_lead(without_aside(bare, ASIDE), INTRODUCTION)
    return bare


def _behind_vehicles(sentence: str, names: frozenset[str]) -> str:
    """What stands behind the vehicles that a heading names, if a fault is told there."""
    found = OF_VEHICLES.match(sentence)
    if found is None or rules_others(found[0]):
        return sentence
    rest = sentence[found.end() :].split(" ")
    while rest and (rest[0].strip(",()&").casefold() in names or VEHICLES.fullmatch(rest[0].strip(",()&"))):
        rest = rest[1:]
    behind = " ".join(rest)
    return behind if FAULT.search(behind) and not (VERB.match(behind) or PAPER.match(behind)) else sentence


def _sentences(texts: Iterable[str]) -> Iterator[str]:
    for text in islice(texts, _MOST_TEXTS):
        yield from sentences(text)


def _fault_score(sentence: str) -> float:
    if not 15 <= len(sentence) <= 400 or sentence.count(" ") < 2:
        return 0.0
    faults = {m.casefold() for m in FAULT.findall(sentence)}
    paper = {m.casefold() for m in PAPER.findall(sentence)}
    leaning = 2.2 if LEANS_BACK.match(sentence) else 0.8 if BEGINS_WITH_IF.match(sentence) else 0.0
    return min(len(faults), 2) + 0.5 - 0.8 * len(paper) - leaning - min(abs(len(sentence) - 80) / 200, 0.8)
