"""Cutting sentences so that their sense does not turn.

What denies ("not", "without") and what limits ("unless", "only if") rules the words around it. So a text is
never parted at one, no beginning that holds one is dropped, and an end that holds a limit is dropped only
with an ellipsis to show for it. "DO NOT REPROGRAM UNLESS …" never becomes "REPROGRAM UNLESS …".
"""

from __future__ import annotations

import re
from collections.abc import Iterator

ELLIPSIS = "…"
DENIES = re.compile(r"\b(?:not|no|never|nor|neither|none|without|cannot|\w+n['\u2019]t|dont|doesnt)\b", re.I)
LIMITS = re.compile(
    r"\b(?:unless|except\w*|exclud\w+|until|till|only|if|provided|otherwise|instead|(?:other|rather) than)\b",
    re.I,
)
_ENDS = re.compile(r"(?<=[.!?])(?<!\b[A-Z]\.)(?<!\bNo\.)\s+(?=[A-Z0-9\"'(\u201c])")
_CLOSED = re.compile(r"(\*[^*]{3,60}\*)")
"""A warning that stands by itself: "*DO NOT DRIVE*"."""
_PARTS = re.compile(r"[;:]\s+|\s+[-\u2013\u2014]{1,2}\s+|\s*\*{2,}\s*|\n\s*\n")
_CLAUSE = re.compile(
    r",?\s+(?:which|possibly|potentially|resulting|causing|thereby|allowing|leading|creating|increasing)\b"
    r"|,?\s+(?:and|or)\s+(?:this\s+)?(?:may|might|can|could|would|will)\b|,?\s+due\s+to\b|,?\s+because\b"
    r"|,\s+(?:and|or|so|as|thus|when|while)\b|,(?=\s)|\s+\((?=[^)]*$)",
    re.I,
)
_DANGLING = re.compile(
    r"(?:[\s,;:(/-]+(?:a|an|the|and|or|of|to|in|on|at|by|for|from|with|that|which|is|are|was|were|be|been|may|might|can|could"
    r"|will|would|has|have|had|as|its|their|this|these|when|while|into|due|than|such|after|before|it|both|causing|possibly|potentially|thus|thereby|so))+[\s,;:(/-]*$"
    r"|[\s,;:(/-]+$",
    re.I,
)
_BEFORE_THE_REST = re.compile(
    r"(?:if|when|while|during|as|after|without|with|in|on|at|under|over|because|since|due|for|where)\b", re.I
)
"""Such a sentence says what matters behind its first comma."""
_LEAST = 20
"""A clause with fewer letters says too little to stand alone."""


def rules_others(text: str) -> bool:
    """Whether it holds a word that denies or limits what stands beside it."""
    return bool(DENIES.search(text) or LIMITS.search(text))


def sentences(text: str) -> Iterator[str]:
    """Sentences and parts of sentences, none parted from a word that denies or limits it."""
    for sentence in (one for some in _CLOSED.split(text) for one in _ENDS.split(some)):
        begun = ""
        for part, sign in _with_signs(sentence):
            begun += part
            if rules_others(begun) or LIMITS.match(sentence[len(begun) :].lstrip(" -*;:")):
                begun += sign
                continue
            yield begun.strip()
            begun = ""
        if begun.strip():
            yield begun.strip()


def without_lead(sentence: str, lead: re.Pattern[str]) -> str:
    """The sentence without beginnings that `lead` matches, as long as those deny and limit nothing."""
    while (found := lead.match(sentence)) and found.end() and not rules_others(found[0]):
        sentence = sentence[found.end() :]
    return sentence


def without_aside(sentence: str, aside: re.Pattern[str]) -> str:
    """The sentence without what `aside` matches in it, where that denies and limits nothing."""
    return aside.sub(lambda found: found[0] if rules_others(found[0]) else "", sentence)


def cut(sentence: str, longest: int, must: re.Pattern[str] | None = None) -> str:
    """At most `longest` letters of the beginning: whole clauses if that drops no limit, else words and "…".

    `must`: what a clause has to say to stand alone.
    """
    sentence = " ".join(sentence.split())
    if len(sentence) <= longest:
        return sentence
    return _clauses(sentence, longest, must) or _words(sentence, longest)


def _clauses(sentence: str, longest: int, must: re.Pattern[str] | None) -> str:
    """The most clauses that fit, or nothing where a limit would be dropped or too little be said."""
    begins = 0
    while _BEFORE_THE_REST.match(sentence, begins) and (comma := sentence.find(",", begins)) > 0:
        begins = comma + 2
    ends = [found.start() for found in _CLAUSE.finditer(sentence) if _LEAST <= found.start() <= longest]
    for end in reversed(ends):
        kept = _DANGLING.sub("", sentence[:end])
        if end > begins and len(kept) >= _LEAST and _stands(kept, sentence[end:], must):
            return kept
    return ""


def _stands(kept: str, dropped: str, must: re.Pattern[str] | None) -> bool:
    if LIMITS.search(dropped) or DENIES.search(kept[-12:]) or (must and not must.search(kept)):
        return False
    return kept.count("(") == kept.count(")") and kept.count('"') % 2 == 0


def _words(sentence: str, longest: int) -> str:
    kept = sentence[: longest - 1]
    if sentence[longest - 1 : longest].strip():
        kept = kept.rsplit(" ", 1)[0]
    return (_DANGLING.sub("", kept) or kept) + ELLIPSIS


def _with_signs(sentence: str) -> Iterator[tuple[str, str]]:
    at = 0
    for found in _PARTS.finditer(sentence):
        yield sentence[at : found.start()], found[0]
        at = found.end()
    yield sentence[at:], ""
