"""What the documents of a recall or bulletin say is done about it, and to which module.

One rule for every importer: sentences that tell what is done are read for software, parts and looks or
adjustments; what is merely revised paper ("updated TSB") is nothing, a remedy in the making is a notice.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from kb.intake.module_names import SHOWS_IT, modules_in
from kb.nouns.notes import Remedy
from kb.words.defect import tells_remedy


@dataclass(frozen=True, slots=True)
class RemedyRead:
    """What is done, and the module that it is done to (empty: none named)."""

    remedy: Remedy = Remedy.NOTICE
    module: str = ""


_HEAD = 1500
"""Where a text names its module outside of what is done, it does so by here."""

_TELLING = (
    Remedy.NOTICE,
    Remedy.INSPECTION,
    Remedy.PART,
    Remedy.SOFTWARE,
    Remedy.SOFTWARE_AND_PART,
    Remedy.INSPECT_THEN_SOFTWARE,
)
"""What is told more by a document, later."""

_SENTENCE = re.compile(r"(?<=[.!?;])\s+|\n\s*\n")


def _any(*patterns: str) -> re.Pattern[str]:
    return re.compile("|".join(patterns), re.IGNORECASE)


_PAPER = _any(
    r"\b(?:updat|revis|amend)\w*\s+(?:\w+\s+){0,3}?(?:TSB|letters?|bulletins?|documents?|notices?|notification"
    r"|instructions?|labor|parts?\s+list|remedy|owners?)\b",
    r"\b(?:TSB|letter|bulletin|document|notice)s?\s+(?:has|have|is|was)\s+(?:been\s+)?(?:updated|revised|amended)\b",
)
_PRINT = _any(r"\b(?:labels?|owner'?s?\s+manuals?|placards?|decals?)\b")
"""Paper that is put into the vehicle: nothing of it is repaired."""

_IN_THE_MAKING = _any(
    r"\b(?:is|are|being|currently|under|still)\s+(?:\w+\s+)?develop\w*\b",
    r"\bwork(?:ing)?\s+on\s+a\s+remedy",
    r"\bonce\s+(?:the|a)\s+remedy",
    r"\bremedy\s+is\s+not\b",
)
_WARE = r"(?:software|SW|firmware)\b"
_SOFTWARE = _any(
    r"\bre-?(?:program(?!mable)|flash)\w*",
    r"\blogic\s+(?:improvement|update|upgrade|change|correction)s?",
    r"\b(?:improv|updat|revis|chang)\w*\s+(?:\w+\s+){0,4}logic\b",
    r"\b(?:over[- ]the[- ]air|OTA)\b(?!\W+(?:OTA\W+)?antenna)",
    rf"\b(?:ROM|KSDS|calibration|firmware|(?:module|unit|\w+\))\s+{_WARE})\s+(?:update|upgrade|installation)s?",
    r"\b(?:module|unit|[BEPTV]C[MU])\)?\s+(?:programming\b|recalibrat)",
    r"\bsoftware\s+remedy\b",
    rf"\b(?:updat|upgrad|install|download|load|rewrit|correct|modify|improv|revis)\w*\b(?:(?!\band\b)[^.;:]){{0,90}}?\b{_WARE}"
    r"(?:\s+that\s+(?:needs?|has|must)[\w\s]{0,9}installed)?",
    rf"\b{_WARE}(?:\s+[\w/-]+){{0,5}}?\s+(?:update|upgrade|installation|improvement|correction"
    r"|(?:(?:to\s+)?be\s+)?(?:updated|installed|upgraded|applied))\b",
    r"\brepair\s+instructions\b(?=[^.;]*\b(?:software|logic)\b)",
    r"\b(?:updat|rewrit|chang|correct)\w*\s+(?:the\s+)?(?:\w+\s+){0,4}program\b",
    r"\b(?:software|SW)\s+version\b[^.;]{0,60}\bupdate",
    r"\b(?:unit|module|controller|cluster|(?-i:(?!TSB|FAQ|DIR|VIN)[A-Z]{3,5}))\)?\s+"
    r"(?:(?:will|may|must|should|needs?\s+to)\s+(?:need\s+to\s+)?be\s+(?:updated|upgraded)"
    r"|(?:software\s+)?up(?:date|grade))\b",
    r"\bupdat(?:e|ed|ing)\s+(?:of\s+)?(?:the\s+)?(?:[\w/()'-]+\s+){0,6}"
    r"(?:[BETV]C[MU]|PCM|IVI|AVN|module|(?:control|display)\s+unit|controller)\b",
)
_PART = _any(
    r"\breplac(?:e|ed|ing)\b(?!\s+by\s+(?-i:[A-Z]{2,}))",
    r"\breplacement\b(?!\s+(?:parts?|vehicles?))",
    r"\b(?:exchange|swap|reseal|kit)\b",
    r"\b(?:will|to|and|be)\s+install(?:ed)?\b",
    r"\binstall(?:ing)?\s+(?:an?|the|new)\b",
    r"\brepair\s+the\b",
    r"\badd(?:ing)?\s+(?:an?\s+)?(?:support|clamp|bracket)",
)
_LOOK = _any(
    r"\binspect(?:ed|ing|ion)?\b",
    r"\bcheck(?:ed)?\s+(?:the|for)\b",
    r"\bdiagnos\w+",
    r"\bwill\s+(?:verify|confirm|test)\b",
    r"\bre-?(?:tighten|torque|route|align)\w*",
    r"\b(?:tighten|calibrat|adjust)(?:e|ed|ing)?\b",
    r"\bcorrect\s+the\s+condition\b",
)
_EITHER = _any(
    r"\bmay\s+need\b",
    r"\bor\s+(?:update|reprogram)",
    r"\b(?:either|depending|as\s+needed)\b",
    r"\bif\b[^.;]*\breplac",
    r"\breplac\w*\b[^.;]{0,60}\bif\b",
)
_VERSION = _any(r"\b(?:software|SW|ROM)\s+(?:version|ID|level)s?\b")
_ONLY_MISSING = _any(r"\bif\s+(?:\w+\s+){1,4}missing\b[^.;]*")


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
    return max(said, key=_TELLING.index, default=Remedy.NOTICE)


def _of_text(text: str) -> RemedyRead:
    done = [one for one in _SENTENCE.split(text) if _tells_what_is_done(one)]
    remedy = _remedy(done)
    return RemedyRead(remedy, _module(done, text))


def _tells_what_is_done(sentence: str) -> bool:
    if any(no.search(sentence) for no in (_PAPER, _PRINT, _IN_THE_MAKING)):
        return False
    return tells_remedy(sentence) or bool(_SOFTWARE.search(sentence))


def _remedy(done: Sequence[str]) -> Remedy:
    said = " . ".join(done)
    bare = _SOFTWARE.sub(" ", _ONLY_MISSING.sub(" ", said))
    part, look = bool(_PART.search(bare)), bool(_LOOK.search(_VERSION.sub(" ", bare)))
    if not _SOFTWARE.search(said):
        return Remedy.PART if part else Remedy.INSPECTION if look else Remedy.NOTICE
    if (look and not _VERSION.search(said)) or (part and _EITHER.search(said)):
        return Remedy.INSPECT_THEN_SOFTWARE
    return Remedy.SOFTWARE_AND_PART if part else Remedy.SOFTWARE


def _module(done: Sequence[str], text: str) -> str:
    """The module named nearest to the software, else where anything is done, else the one named most."""
    for sentence in done:
        found = _SOFTWARE.search(sentence)
        named = list(modules_in(sentence)) if found else []
        if found and named:
            middle = (found.start() + found.end()) / 2
            return min(named, key=lambda one: abs(one[0] - middle))[1]
    for sentence in (*done, text[:_HEAD]):
        counted = Counter(module for _, module in modules_in(sentence))
        if len(counted) > 1:
            del counted[SHOWS_IT]
        if counted:
            return counted.most_common(1)[0][0]
    return ""
