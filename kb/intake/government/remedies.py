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

from kb.intake.government.remedy_words import (
    AFTER_SOFTWARE,
    BEFORE,
    CAUSE,
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
    bare, printed = PRINT.subn(" ", text)
    done = [CAUSE.sub(" ", one) for one in _SENTENCE.split(PAPER.sub(" ", bare)) if _tells_what_is_done(one)]
    remedy = _remedy(done)
    only_print = printed and remedy is Remedy.NOT_SAID
    told = Remedy.NOTICE if only_print or _still_to_come(remedy, done, text) else remedy
    return RemedyRead(told, _module(remedy, done, text))


def _still_to_come(remedy: Remedy, done: Sequence[str], text: str) -> bool:
    """Whether the remedy is in the making, and no sentence says what will be done."""
    if remedy is not Remedy.NOT_SAID and any(map(TO_COME.search, done)):
        return False
    return bool(IN_THE_MAKING.search(text))


def _tells_what_is_done(sentence: str) -> bool:
    if not (tells_remedy(sentence) or SOFTWARE.search(sentence)) or TOLD.search(sentence):
        return False
    if IN_THE_MAKING.search(sentence) and not WHO_WILL.search(sentence):
        return False
    return not BEFORE.search(sentence) or bool(TO_COME.search(sentence))


def _remedy(done: Sequence[str]) -> Remedy:
    said = " . ".join(done)
    bare = _beside_software(said)
    part, look = bool(PART.search(bare)), any(map(_looks, done))
    if not SOFTWARE.search(said):
        return Remedy.PART if part else Remedy.INSPECTION if look else Remedy.NOT_SAID
    if (look and not VERSION.search(said)) or (part and all(map(_either, done))):
        return Remedy.INSPECT_THEN_SOFTWARE
    return Remedy.SOFTWARE_AND_PART if part else Remedy.SOFTWARE


def _looks(sentence: str) -> bool:
    """Whether a sentence tells of a look or an adjustment that does not wait for the software."""
    return bool(LOOK.search(_beside_software(sentence))) and not AFTER_SOFTWARE.search(sentence)


def _either(sentence: str) -> bool:
    """Whether a sentence names no part, or one that may not be needed."""
    return not PART.search(_beside_software(sentence)) or bool(EITHER.search(ONLY_MISSING.sub(" ", sentence)))


def _beside_software(said: str) -> str:
    """What is said to be done but to software, and but for what is installed only where it is missing."""
    return SOFTWARE.sub(" software ", VERSION.sub(" ", ONLY_MISSING.sub(" ", said)))


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
