"""What the documents of a recall or bulletin say is done about it, and to which module.

One rule for every importer: sentences that tell what is done are read for software, parts and looks or
adjustments; what is merely revised paper ("updated TSB") or was done before is nothing. A text by which the
remedy is still to come, or is words in print, is a notice; one that tells nothing of what is done says none.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from kb.intake.remedy_words import (
    BEFORE,
    EITHER,
    IN_THE_MAKING,
    LOOK,
    ONLY_MISSING,
    PAPER,
    PART,
    PRINT,
    SOFTWARE,
    TO_COME,
    TOLD,
    VERSION,
    WHO_WILL,
)
from kb.nouns.notes import Remedy
from kb.vehicle.modules import SHOWS_IT, modules_in
from kb.words.defect import tells_remedy


@dataclass(frozen=True, slots=True)
class RemedyRead:
    """What is done, and the module that it is done to (empty: none named)."""

    remedy: Remedy = Remedy.NOT_SAID
    module: str = ""


_HEAD = 1500
"""Where a text names its module outside of what is done, it does so by here."""

_SENTENCE = re.compile(r"(?<=[.!?;])\s+|\n\s*\n")

_TELLING = (
    Remedy.NOT_SAID,
    Remedy.NOTICE,
    Remedy.INSPECTION,
    Remedy.PART,
    Remedy.SOFTWARE,
    Remedy.SOFTWARE_AND_PART,
    Remedy.INSPECT_THEN_SOFTWARE,
)
"""What is told more by a document, later."""


def read_remedy(texts: Sequence[str]) -> RemedyRead:
    """The most telling remedy of several documents of one defect, and the module most of them name for it."""
    read = [_of_text(" ".join(text.split())) for text in texts]
    remedy = _together([one.remedy for one in read])
    named = Counter(one.module for one in read if one.module and one.remedy is remedy)
    others = Counter(one.module for one in read if one.module)
    module = next((name for some in (named, others) for name, _ in some.most_common(1)), "")
    return RemedyRead(remedy, module)


def _together(said: Sequence[Remedy]) -> Remedy:
    """The most telling one; of those that hold software the one that most documents say."""
    software = Counter(one for one in said if one.holds_software)
    if software:
        return max(software, key=lambda one: (software[one], _TELLING.index(one)))
    return max(said, key=_TELLING.index, default=Remedy.NOT_SAID)


def _of_text(text: str) -> RemedyRead:
    bare = PAPER.sub(" ", PRINT.sub(" ", text))
    done = [one for one in _SENTENCE.split(bare) if _tells_what_is_done(one)]
    remedy = _remedy(done)
    return RemedyRead(_or_notice(remedy, done, text), _module(remedy, done, text))


def _or_notice(remedy: Remedy, done: Sequence[str], text: str) -> Remedy:
    """A notice, where the remedy is in the making and no sentence says what will be done, or is in print."""
    making = bool(IN_THE_MAKING.search(text))
    if remedy is Remedy.NOT_SAID:
        return Remedy.NOTICE if making or PRINT.search(text) else remedy
    return Remedy.NOTICE if making and not any(map(TO_COME.search, done)) else remedy


def _tells_what_is_done(sentence: str) -> bool:
    if IN_THE_MAKING.search(sentence) and not WHO_WILL.search(sentence):
        return False
    if TOLD.search(sentence) or (BEFORE.search(sentence) and not TO_COME.search(sentence)):
        return False
    return tells_remedy(sentence) or bool(SOFTWARE.search(sentence))


def _remedy(done: Sequence[str]) -> Remedy:
    said = " . ".join(done)
    bare = SOFTWARE.sub(" ", VERSION.sub(" ", ONLY_MISSING.sub(" ", said)))
    part, look = bool(PART.search(bare)), bool(LOOK.search(bare))
    if not SOFTWARE.search(said):
        return Remedy.PART if part else Remedy.INSPECTION if look else Remedy.NOT_SAID
    if (look and not VERSION.search(said)) or (part and all(map(_either, done))):
        return Remedy.INSPECT_THEN_SOFTWARE
    return Remedy.SOFTWARE_AND_PART if part else Remedy.SOFTWARE


def _either(sentence: str) -> bool:
    """Whether a sentence names no part, or one that may not be needed."""
    bare = VERSION.sub(" ", ONLY_MISSING.sub(" ", sentence))
    return not PART.search(SOFTWARE.sub(" ", bare)) or bool(EITHER.search(bare))


def _module(remedy: Remedy, done: Sequence[str], text: str) -> str:
    """The module named nearest to the software, else where anything is done, else the one named most."""
    return _nearest(done) or next(filter(None, map(_most_named, done)), "") or _elsewhere(remedy, text)


def _nearest(done: Sequence[str]) -> str:
    for sentence in done:
        found = SOFTWARE.search(sentence)
        named = list(modules_in(sentence)) if found else []
        if found and named:
            middle = (found.start() + found.end()) / 2
            return min(named, key=lambda one: abs(one[0] - middle))[1]
    return ""


def _most_named(text: str, least: int = 1) -> str:
    counted = Counter(module for _, module in modules_in(text))
    if len(counted) > 1:
        del counted[SHOWS_IT]
    return next((module for module, times in counted.most_common(1) if times >= least), "")


def _elsewhere(remedy: Remedy, text: str) -> str:
    """The module that the head speaks of; beside a part or a look, one named once merely suffers from it."""
    return _most_named(text[:_HEAD], 2 if remedy in (Remedy.PART, Remedy.INSPECTION) else 1)
