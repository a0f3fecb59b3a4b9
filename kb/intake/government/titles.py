"""A short title for a note that came without one: whose vehicle, and what the fault is.

Texts of recalls speak of letters, dealers and remedies as much as of the fault. First the sentence that most
speaks of a fault is looked for; where none does, the longest run of words that are not paperwork.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice

from kb.intake.government.paperwork import CONNECTING, PAPERWORK
from kb.nouns.vehicles import Coverage

LONGEST = 110
_MOST_TEXTS = 15
_SENTENCE = re.compile(r"(?<=[.!?])\s+(?=[A-Z\"'])|;\s+|:\s+(?=[A-Z])")
_WORD = re.compile(r"[^\W_](?:[\w'-]*\w)?")
_FAULT = re.compile(
    r"\b(may|might|can|could|fails?|failed|failure|loss|lose|cracks?|leak\w*|fire|stall\w*|detach\w*|"
    r"separat\w*|incorrect\w*|improper\w*|overheat\w*|corro\w+|loose\w*|misalign\w*|inoperative|fractur\w*|"
    r"break|broken|damaged?|inaccurate|missing|unintended|noncompl\w*|not (?:comply|conform|meet))\b",
    re.IGNORECASE,
)
_PAPER = re.compile(
    r"\b(letters?|notif\w+|notices?|dealers?|owners?|documents?|attached|mailed|bulletin|please|contact|"
    r"instructions?|redacted|copy|questions?|recall\w*|campaign|federal|safety standard|inspect\w*|replac\w+|"
    r"repair\w*|remed\w+|free of charge|description|crash|injur\w+|risk|civil|penalt\w+|law|warranty|decided|"
    r"determined)\b|@|www",
    re.IGNORECASE,
)
_LEANS_BACK = re.compile(
    r"(it|this|these|those|that|they|such|failure to|doing so|when this|in this)\b", re.I
)


def compose(coverage: Coverage, texts: Sequence[str], otherwise: str) -> str:
    """Subject and fault: "NORVANE ALTO: the fuel pump may fail"; `otherwise` where no text tells a fault."""
    about = subject(coverage)
    said = fault_sentence(texts) or topic(texts, _names(coverage)) or otherwise
    return shorten(f"{about}: {said}" if about and said else about or said)


def subject(coverage: Coverage) -> str:
    """Whose note it is, in few words: "NORVANE ALTO", "NORVANE, 3 models", "4 makes"."""
    makes = dict.fromkeys(line.make for line in coverage if line.make)
    models = dict.fromkeys(line.model for line in coverage if line.model)
    if len(makes) != 1:
        return f"{len(makes)} makes" if makes else ""
    make = next(iter(makes))
    return f"{make}, {len(models)} models" if len(models) > 1 else " ".join(dict.fromkeys([make, *models]))


def fault_sentence(texts: Iterable[str]) -> str:
    """The sentence that most speaks of a fault and least of paperwork; empty where none does."""
    best, most = "", 0.0
    for sentence in _sentences(texts):
        score = _fault_score(sentence)
        if score > most:
            best, most = sentence, score
    return best.strip(" .;,")


def topic(texts: Iterable[str], names: frozenset[str] = frozenset()) -> str:
    """The run with most words that are neither paperwork nor `names` (makes and models), or empty."""
    best, most = "", 1.5
    for sentence in _sentences(texts):
        run, score = _best_run(sentence, names) if "@" not in sentence else ("", 0.0)
        if score > most and run[0].isupper():
            best, most = run, score
    return best


def shorten(text: str, longest: int = LONGEST) -> str:
    """The text cut at a word so that it holds at most `longest` characters, with an ellipsis where cut."""
    if len(text) <= longest:
        return text
    return f"{text[: longest - 1].rsplit(' ', 1)[0].rstrip(' ,;:-')}…"


def _sentences(texts: Iterable[str]) -> Iterator[str]:
    for text in islice(texts, _MOST_TEXTS):
        yield from _SENTENCE.split(text)


def _names(coverage: Coverage) -> frozenset[str]:
    said = " ".join({line.make for line in coverage} | {line.model for line in coverage})
    return frozenset(word.casefold() for word in _WORD.findall(said))


def _fault_score(sentence: str) -> float:
    if not 20 <= len(sentence) <= 400:
        return 0.0
    faults = {m.casefold() for m in _FAULT.findall(sentence)}
    if not faults:
        return 0.0
    paper = {m.casefold() for m in _PAPER.findall(sentence)}
    leaning = 0.7 if _LEANS_BACK.match(sentence) else 0.0
    return min(len(faults), 3) + 0.5 - 0.8 * len(paper) - leaning - min(abs(len(sentence) - 80) / 200, 0.8)


def _best_run(sentence: str, names: frozenset[str]) -> tuple[str, float]:
    """The span of words with the greatest sum of worths (Kadane), and that sum."""
    best, most, start, total = (0, 0), 0.0, 0, 0.0
    for found in _WORD.finditer(sentence):
        if total <= 0:
            start, total = found.start(), 0.0
        total += _worth(found[0].casefold(), names)
        if total > most:
            best, most = (start, found.end()), total
    return sentence[best[0] : best[1]], most


def _worth(word: str, names: frozenset[str]) -> float:
    if word in PAPERWORK or word in names or any(c.isdigit() for c in word):
        return -3.0
    return -0.3 if word in CONNECTING or len(word) < 3 else 1.0
