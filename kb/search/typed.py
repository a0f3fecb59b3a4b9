"""The words of a complaint as they were typed, put right one by one."""

from __future__ import annotations

from collections.abc import Sequence, Set
from typing import NamedTuple

from kb.words.negation import clauses
from kb.words.negators import FINE, FLAWS, HELD, HOLDING, NEGATORS, NOUN
from kb.words.normalise import JOINING, SILENT, stem, words
from kb.words.paperwork import LONG, paperwork
from kb.words.spelling import Reading, Speller

MOST_LETTERS = 8_000
MOST_WORDS = 1_000
"""What is typed beyond these is not read."""
COMPARING, PLACING, SHORTLY = frozenset(("like", "through", "thru")), frozenset(("in", "from")), 3
PASSING = frozenset(("at", "behind", "under", "beneath", "below"))
SOMEBODY = frozenset(("something", "someone", "somebody", "getting", "being"))
BLAMING = frozenset(("its", "thats"))
GUESSING = frozenset(
    (
        "says",
        "said",
        "saying",
        "thinks",
        "think",
        "thought",
        "told",
        "swears",
        "guess",
        "bets",
        "maybe",
        "if",
        "not",
    )
)
FINE_BEFORE, FINE_BEHIND = 6, 2
"""So many words before and behind it, a word of `FINE` may speak of."""
NUMBERS = frozenset(
    (
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "twelve",
        "fifteen",
        "twenty",
        "half",
    )
)
JOINING_STEMS = frozenset(map(stem, JOINING))


class TypedWord(NamedTuple):
    """A typed word as read; `unit` is its place among the typed words, `others` are further readings.

    `clause` counts the clauses. Of a text that holds a no, `either` says that an "or" stands before the word,
    and `denied` are words said not to be so, with the noes that say it. `compared` is what stands shortly
    behind a "like" or "through": something that it is not, or where it is only felt; `placed` what stands
    behind an "in" or "from": where it is; `source` what stands behind a "from"; `blamed` behind an "its":
    what it is; `passed` behind an "at" or "behind": a place ("at the light"); `fine` is what a word near it
    says to be right ("fluid level ok"); `idle` is paperwork around a long complaint.
    """

    typed: str
    word: str
    stem: str
    likeness: float
    unit: int
    others: tuple[tuple[str, float], ...] = ()
    clause: int = 0
    either: bool = False
    denied: bool = False
    compared: bool = False
    placed: bool = False
    source: bool = False
    blamed: bool = False
    passed: bool = False
    fine: bool = False
    idle: bool = False

    @property
    def tells(self) -> bool:
        """Whether it is looked for by itself, not only inside a phrase."""
        return not (self.denied or self.idle or self.stem in JOINING_STEMS or self.word in SILENT)

    @property
    def counts(self) -> bool:
        """Whether it is a figure, or the word of a small number."""
        return self.word.isdigit() or self.word in NUMBERS


def read_words(
    text: str, speller: Speller, idle: Set[str] = frozenset(), without: Set[int] = frozenset()
) -> tuple[list[TypedWord], list[tuple[str, str]]]:
    """The typed words as read, and the corrections made (typed, read as), those at some places left out.
    Where words are `idle`, so are figures.
    """
    found: list[TypedWord] = []
    corrections: list[tuple[str, str]] = []
    folded, clause_of = words(text[:MOST_LETTERS])[:MOST_WORDS], clauses(text[:MOST_LETTERS])
    right, around = _said_to_be_right(folded, clause_of), _Around.of(folded)
    for unit, (typed, clause) in enumerate(zip(folded, clause_of, strict=False)):
        if typed in SILENT or unit in without:
            continue
        behind = folded[unit + 1] if unit + 1 < len(folded) else ""
        readings = speller.read_between(folded[unit - 1] if unit else "", typed, behind)
        if _run_together(typed, readings):
            found.extend(
                TypedWord(typed, r.word, stem(r.word), r.likeness, unit, (), clause) for r in readings
            )
            corrections.append((typed, " ".join(reading.word for reading in readings)))
            continue
        best, others = readings[0], tuple([(r.word, r.likeness) for r in readings[1:]])
        found.append(
            TypedWord(
                typed,
                best.word,
                stem(best.word),
                best.likeness,
                unit,
                others,
                clause,
                compared=unit in around.compared,
                placed=unit in around.placed,
                source=unit in around.source,
                blamed=unit in around.blamed,
                passed=unit in around.passed,
                fine=unit in right,
                idle=best.word in idle or (bool(idle) and best.word.isdigit()),
            )
        )
        if best.word != typed:
            corrections.append((typed, best.word))
    return found, corrections


def without_paperwork(text: str, speller: Speller) -> tuple[list[TypedWord], list[tuple[str, str]]]:
    """As `read_words`, of a long text without the phrases of its paperwork, its other paperwork idle."""
    said = words(text[:MOST_LETTERS])[:MOST_WORDS]
    if len(said) <= LONG:
        return read_words(text, speller)
    around = paperwork()
    return read_words(text, speller, around.words, around.places(said))


class _Around(NamedTuple):
    """Places of words by what stands shortly before them (see TypedWord)."""

    compared: set[int]
    placed: set[int]
    source: set[int]
    blamed: set[int]
    passed: set[int]

    @classmethod
    def of(cls, said: Sequence[str]) -> _Around:
        around = cls(set(), set(), set(), set(), set())
        for at, word in enumerate(said):
            shortly = range(at + 1, at + 1 + SHORTLY)
            if word in COMPARING:
                around.compared.update(shortly)
                if word == "like" and said[at + 1 : at + 2] and said[at + 1] in SOMEBODY:
                    around.compared.update(
                        range(at + 2, at + 1 + 2 * SHORTLY)
                    )  # "like somebody hit the bumper"
            if word in PLACING:
                around.placed.update(shortly)
                if word == "from":
                    around.source.update(shortly)
            if word in BLAMING and at:
                around.blamed.difference_update(shortly)
                if said[at - 1] not in GUESSING:
                    around.blamed.update(shortly)
            if word in PASSING:
                around.passed.update(range(at + 1, at + 3))
        return around


def _said_to_be_right(said: Sequence[str], clause: Sequence[int]) -> frozenset[int]:
    """Places of the words of which it is said that they are right: in the clause that says so, or in the one
    before where it says nothing else ("smoked intake, tight").
    """
    return frozenset(
        place
        for at, word in enumerate(said)
        if word in FINE or _found_nothing(said, at)
        for place in range(max(0, at - FINE_BEFORE), min(len(said), at + 1 + FINE_BEHIND))
        if clause[place] == clause[at]
        or (clause[place] == clause[at] - 1 and (word not in FINE or clause.count(clause[at]) == 1))
    )


def _found_nothing(said: Sequence[str], at: int) -> bool:
    """Whether a test found nothing here: "smoke tested, no leaks", "holds vacuum"."""
    after = said[at + 1] if at + 1 < len(said) else ""
    holds = said[at] in HOLDING and not (at and said[at - 1] in NEGATORS)
    return (said[at] in NOUN and after in FLAWS) or (holds and after in HELD)


def _run_together(typed: str, readings: Sequence[Reading]) -> bool:
    return len(readings) == 2 and readings[0].word + readings[1].word == typed
