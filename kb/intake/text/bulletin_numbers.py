"""Numbers of bulletins, campaigns and recalls in a running text, and how sure it is that they are some.

Forms are common practice, read off papers of many makers; no source. A number is *plain* where its form alone
tells it (25V-123, 16-23-044, TRN-19-044A) and *told* where the words before it say what it is ("TSB 4471").
Part numbers, trouble codes, days, phone numbers, model years and measures are none.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from kb.words.normalise import is_code
from kb.words.printed_numbers import RECALL

_WORD = re.compile(r"(?<![\w./-])(?=[\w./-]*\d)[A-Za-z0-9]+(?:[-\u2010-\u2013/.][A-Za-z0-9]+)*(?![\w])")
_PLAIN = re.compile(
    r"""[A-Z]{2,5}-?\d{2}-\d{2,5}[A-Z]?            # TRN-19-044A, NTB21-051
      | [A-Z]{2,4}-[A-Z]{1,4}-?\d{2,6}[A-Z]?(?:-\d{1,3}[A-Z]?)?   # NMC-TR-24-117A
      | \d{2}-\d{2,3}-\d{2,4}[A-Z]?(?:-\d{1,2})?(?:R\d?)?   # 16-23-044
      | \d{2}-[A-Z]{2,3}-\d{3}[A-Z]?(?:-\d)?       # 19-BE-006H
      | \d{2}-\d{3}/\d{2}[A-Z]?                    # 05-006/18
      | \d{2}-\d{4}[A-Z]?                          # 21-2321
      | [A-Z]{3,4}-\d{2}                           # WRD-21
      | SB-\d{6,8}-\d{3,5}
    """,
    re.IGNORECASE | re.VERBOSE,
)
_JOINED = re.compile(
    r"""[A-Z]{1,6}-?\d{2,4}(?:-[A-Z\d]{1,5}){1,3}        # C21-045
      | [A-Z]{1,6}(?:-\d{1,4}){2,3}[A-Z]?               # HV-23-9
      | [A-Z]-\d{4} | [A-Z]{2,6}-\d{3,6}[A-Z]?          # PI-1190C
      | \d{2}-[A-Z]{1,4}-\d{1,5}[A-Z]?                  # 22-NA-31
      | \d{2}-\d{3}[A-Z]? | \d{2}-\d{4}-\d{2} | \d{2}(?:-\d{2}){1,2}-\d{3}
    """,
    re.IGNORECASE | re.VERBOSE,
)
_SERIES = re.compile(
    r"(?<![\w-])(?!(?:TO|AT|IN|ON|BY|OF|RO|NO|IS|IT|OK|WO|PN)\b)[A-Z]{2} (?=\d{2,4}-\d{2,4}$)"
)
_CUE = re.compile(
    r"""(?:\b(?:(?:technical\ )?(?:service\ )?bulletins?(?:\ (?:reference\ )?(?:number|no))?
      | TSBs?|ISB|SB|(?:technical|service)\ advisory|preliminary\ information|tech\ tip|field\ notice
      | (?:service|quality|emission\w*|field)\ (?:campaign|action|information|update|message|letter|alert)
      | (?:service|field)\ communication|service\ note
      | (?:(?:customer|owner)\ )?(?:satisfaction|service|care|support|update|warranty)\ program
      | (?:dealer|technical|service)\ (?:letter|newsletter|circular|memo|tip)
      | campaign(?:\ (?:number|no|id|code))?|per|(?<!part\ )number
      | (?:letter|TSB|bulletin|notice|document|notification|guide|form|Q&?A|FAQ)s?\ (?:for|regarding)
        (?:\ the)?
      | recall(?:\ (?:campaign|communication))?(?:\ (?:number|no|id|code))?|safety\ recall(?:\ for)?
      | update|document\ id
      | (?:bulletin|campaign|reference|ref|doc(?:ument)?|publication|issue)\.?\ ?(?:number|no|id)
      | technical\ (?:tip|note|message)|(?:supersed|replac)(?:es|ing)(?:\ (?:bulletins?|TSBs?))?
      )|^\s*(?:no|nr)
    )\.?\s*[:#(]?\s*(?:(?:no|nr|number|is|i\.?d)\b\.?)?\s*[:#(]{0,2}\s*$""",
    re.IGNORECASE | re.VERBOSE | re.MULTILINE,
)
_BEHIND = re.compile(
    r"\s+(?:technical\s+)?(?:safety\s+|service\s+)?(?:recall|campaign|TSB|bulletin)\b", re.IGNORECASE
)
_SHORT = re.compile(r"[A-Z]{1,4}-?\d{2,6}[A-Z]?|[A-Z]\d\d[A-Z]\d|[A-Z]?\d{2}[A-Z]?\d{1,3}")
"""Where a campaign is named in front: "the SC123 Safety Recall"."""
_SPACES = re.compile(r"[ \t]+")
_LISTED = re.compile(r"\s*(?:,|and|&)\s*")
_LEAST = 3
_LOOK_BACK = 48
_SERIES_LETTERS = 3
_NOT_ALONE = re.compile(
    r"\d{1,4}[-/.]\d{1,2}[-/.](?:\d{4}|\d{1,2})|\d{1,2}[-/]\d{4}|(?:19|20)\d\d(?:[-/](?:(?:19|20)?\d\d))?|\d{1,2}|\d+\.\d+\w{0,3}"
    r"|(?:1-)?\d{3}-\d{3}-\d{4}|1?-?8\d\d-\d{3}-?\w+|\d{3}-\d{4}|[A-HJ-NPR-Z0-9]{17}|\d+(?:mm|km|rpm|mph|v|l|nm|psi|k|ms|st|nd|rd|th)"
    r"|\d+\.\d+(?:\.\d+)+|(?:https?|www)\S*|\d{1,2}\.[a-z]{2,}|\d{1,2}MY|MY\d{2,4}(?:-\d{2,4})?|\d{4}MY",
    re.IGNORECASE,
)
_MEASURED = re.compile(
    r"\s*(?:%|°|\u00ba|volts?|v\b|amps?|mph|km|rpm|miles?|psi|kpa|ohms?|minutes?|min\b|seconds?|hours?|degrees?|"
    r"MY\b|model\s+years?|nm\b|lb|ft|in\b|mm\b)",
    re.IGNORECASE,
)
_PART = re.compile(
    r"(?:p/?n|part(?:\s+(?:number|no))?s?|phone|fax|call(?:ing)?|at|tel(?:ephone)?|ro|vin|dot|op(?:eration)?(?:\s+code)?|"
    r"labor|claim|cal(?:ibration)?(?:\s+id)?|rom|software|version|fmvss)\.?\s*[:#(]?\s*(?:no\.?|number|id|is)?\s*[:#]?\s*$",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class BulletinNumber:
    """A number as printed, where it stands, and whether the words before it say that it is one."""

    number: str
    begins: int
    ends: int
    told: bool


def bulletin_numbers_in(text: str) -> Iterator[BulletinNumber]:
    """Numbers of bulletins, campaigns and recalls in a text, each place once, in its order."""
    last_told = -1
    for found in _WORD.finditer(text):
        word = found[0]
        ahead = _SPACES.sub(" ", text[max(0, found.start() - _LOOK_BACK) : found.start()])
        told = _CUE.search(ahead) is not None or (
            last_told >= 0 and _LISTED.fullmatch(text, last_told, found.start()) is not None
        )
        told = told or (_SHORT.fullmatch(word) is not None and _BEHIND.match(text, found.end()) is not None)
        if _may_be_one(word) and not (_PART.search(ahead) and not told):
            recall = RECALL.fullmatch(word) is not None
            measured = _MEASURED.match(text, found.end()) is not None
            if recall or (not measured and (told or _PLAIN.fullmatch(word))):
                last_told = found.end() if told else -1
                yield BulletinNumber(word, found.start(), found.end(), told)


def numbers_in_work(text: str) -> Iterator[BulletinNumber]:
    """As `bulletin_numbers_in`, in a line on finished work: shops write few numbers there, and any whose
    letters and figures are joined by hyphens (HV-23-9, PI-1190C) is a bulletin's unless the words say
    otherwise. Two capitals before it are its series ("TB 22-114").
    """
    found = {one.begins: one for one in bulletin_numbers_in(text)}
    for word in _WORD.finditer(text):
        ahead = text[max(0, word.start() - _LOOK_BACK) : word.start()]
        if _JOINED.fullmatch(word[0]) and _may_be_one(word[0]) and not _PART.search(ahead):
            found.setdefault(word.start(), BulletinNumber(word[0], word.start(), word.end(), told=False))
    for at in sorted(found):
        yield _with_series(text, found[at])


def _with_series(text: str, one: BulletinNumber) -> BulletinNumber:
    series = _SERIES.search(text[: one.ends], max(0, one.begins - _SERIES_LETTERS))
    if series is None or series.end() != one.begins:
        return one
    return BulletinNumber(series[0] + one.number, series.start(), one.ends, one.told)


def _may_be_one(word: str) -> bool:
    return len(re.sub(r"\W", "", word)) >= _LEAST and _NOT_ALONE.fullmatch(word) is None and not is_code(word)
