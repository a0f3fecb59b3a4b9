"""A short title for a note that came without one: whose vehicle, and the sentence that names the fault."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from kb.nouns.vehicles import Coverage

LONGEST = 110
_SENTENCE = re.compile(r"(?<=[.!?;])\s+(?=[A-Z\"'])")
_FAULT = re.compile(
    r"\b(may|might|can|could|fails?|failure|loss|lose|cracks?|leak\w*|fire|stall\w*|detach\w*|separate\w*|"
    r"incorrect\w*|improper\w*|short|overheat\w*|corro\w+|loose\w*|misalign\w*|inoperative|illuminate\w*|"
    r"fracture\w*|break|broken|damage\w*|inaccurate|missing|unintended\w*|shut\w*|noncompl\w*|conform)\b",
    re.IGNORECASE,
)
_PAPERWORK = re.compile(
    r"\b(letters?|notifi\w+|renot\w*|notices?|dealers?|owners?|customers?|documents?|attached|mailed|contains?|"
    r"bulletin|please|contact|instructions?|redacted|copy|e-?mail\w*|questions?|recall|campaign|federal|"
    r"inspect\w*|replac\w+|repair\w*|free of charge|crash|injur\w+|www\S*|faq\w*|asked|warranty)\b",
    re.IGNORECASE,
)


def fault_sentence(texts: Iterable[str]) -> str:
    """The sentence that most speaks of a fault and least of paper; empty where none does."""
    best, most = "", 0.0
    for text in texts:
        for sentence in _SENTENCE.split(text):
            score = _score(sentence)
            if score > most:
                best, most = sentence, score
    return best.strip(" .;")


def _score(sentence: str) -> float:
    if not 20 <= len(sentence) <= 400:
        return 0.0
    faults = {m.casefold() for m in _FAULT.findall(sentence)}
    paper = {m.casefold() for m in _PAPERWORK.findall(sentence)}
    return min(len(faults), 3) - 0.8 * len(paper) - abs(len(sentence) - 90) / 200


def subject(coverage: Coverage) -> str:
    """Whose note it is, in few words: "NORVANE ALTO", "NORVANE, 3 models", "4 makes"."""
    makes = dict.fromkeys(line.make for line in coverage if line.make)
    models = dict.fromkeys(line.model for line in coverage if line.model)
    if len(makes) != 1:
        return f"{len(makes)} makes" if makes else ""
    make = next(iter(makes))
    return f"{make}, {len(models)} models" if len(models) > 1 else " ".join([make, *models])


def shorten(text: str, longest: int = LONGEST) -> str:
    """The text cut at a word so that it holds at most `longest` characters, with an ellipsis where cut."""
    if len(text) <= longest:
        return text
    return f"{text[: longest - 1].rsplit(' ', 1)[0].rstrip(' ,;:-')}…"


def compose(about: str, texts: Sequence[str], otherwise: str) -> str:
    """Subject and fault: "NORVANE ALTO: the fuel pump may fail"; `otherwise` where no text tells a fault."""
    said = fault_sentence(texts) or otherwise
    return shorten(f"{about}: {said}" if about and said else about or said)
