"""What a paper asks of who does the work: precautions, windows, exact entries, relearns; and where it is no
cure.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from kb.intake.places import overlaps
from kb.intake.text.paper.headings import Part
from kb.intake.text.paper.layout import Paper, Sentence
from kb.intake.text.phrases import phrases
from kb.intake.text.proposal import Field, Proposal
from kb.words.printed_windows import read_windows

_WORK = frozenset(
    (Part.PLAIN, Part.PROCEDURE, Part.PRECAUTIONS, Part.REMEDY, Part.RELEARNS, Part.CALIBRATIONS, Part.EXACT)
)
_MARK = re.compile(
    r"^\W*(?:caution|warning|important|attention|notice|note)\b\s*[:!\u2013-]+\s*", re.IGNORECASE
)
_PRECAUTION = phrases("precaution", behind="")
_MUST = re.compile(r"\b(?:must|do\s+not|never|always|only|ensure|make\s+sure)\b", re.IGNORECASE)
_NOTE = re.compile(r"\W*(?:notes?|notice)\b", re.IGNORECASE)
_UNTIL_THEN = phrases("until_then")
_OF_DEALERS = phrases("of_dealers")
_SUPPLY = phrases("of_supply")
_AFTER = re.compile(
    r"\W*(?:after(?!\s+(?:connecting|opening))|afterwards?|when\s+finished|finally)\b", re.IGNORECASE
)
_ONLY_VOLTS = re.compile(
    r"(?:(?:the|battery|supply|support|system|voltage|must|should|stay|be|is|remain|kept|within|between|of|at|and|to|or|during|while|in"
    r"|(?:re)?programming|reflash(?:ing)?|update|least|minimum|maximum|posts?|terminals?|measured|by|meter|below|above|not|volts?|V|DC)\b|[\d.,:;+/\u00b1\u2013\s-])+",
    re.IGNORECASE,
)
"""A voltage and nothing asked for beside it: a window alone."""
_ASKS = phrases("asks", before=r"\W*")
_RELEARN = phrases("relearn")
_SAYS_SO = re.compile(
    r"\b(?:caus\w+|due\s+to|condition|concern|may\s+(?:illuminate|set|stall)|defect|if\s+DTC)\b",
    re.IGNORECASE,
)
_QUOTED = (
    r"[\"\u201c\u201d\u2018\u2019'`](?P<quoted>[^\"\u201c\u201d`\n]{2,60}?)[\"\u201c\u201d\u2019'`]"
    r"(?!\w|\s+mode\b)"
)
_ENTER = r"(?<!\()\b(?i:enter|type|key\s+in|input)(?:ed|ing)?\b"
_EXACT = (
    re.compile(rf"{_ENTER}[^.\n\"\u201c\u2018]{{0,80}}?\s{_QUOTED}", re.IGNORECASE),
    re.compile(
        rf"{_ENTER}[^.\n:]{{0,80}}?(?:exactly(?:\s+as\s+(?:shown|printed|follows))?|as\s+(?:shown|printed|follows)|the\s+following(?:\s+\w+){{0,4}}|in\s+capitals?)[^.\n:]{{0,40}}:\s*(?P<rest>\S[^\n]{{0,79}})",
        re.IGNORECASE,
    ),
    re.compile(
        rf"{_ENTER}\s+(?:in\s+)?(?:the\s+)?(?:(?:\w+\s+){{0,4}}(?i:code|string|value|text|ID|number|name|field|key|line)\s*(?:field)?\s*[:=]?\s+)?(?P<word>(?=[A-Z0-9_./*#-]*[A-Z])(?=[A-Z0-9_./*#-]*[0-9_-])[A-Z0-9][A-Z0-9_./*#-]{{3,39}}(?<![./-]))",
    ),
    re.compile(
        r"\b(?i:write|enter|type)\s+(?:\w+\s+){0,4}?(?P<capitals>[A-Z0-9]{3,20})\s+(?:in|with)\s+capital"
    ),
    re.compile(
        r"\bfield\s+[\"\u201c][^\"\u201d\n]{2,40}[\"\u201d]\s+(?i:enter|type)\s+(?P<figures>\d[\d.,]*\d)"
    ),
)
_SECRET = re.compile(
    r"\b(?:password|passcode|(?<!campaign )(?<!aign )PIN|"
    r"security\s+code|key\s+code|VIN|mileage|odometer|repair\s+order|user\s*(?:name|ID))\b",
    re.IGNORECASE,
)
_AGAINST = phrases("against")
_AGAINST_PAPER = phrases("against_of_paper")
_MOST_WORDS = 60


def precautions_in(paper: Paper) -> Iterator[Proposal]:
    """What is to be heeded before and while a module is programmed."""
    for one in paper.sentences:
        if one.part in _WORK and not _is_other(one) and _is_precaution(paper, one):
            yield _proposal(Field.PRECAUTION, paper, one)


def _is_precaution(paper: Paper, one: Sentence) -> bool:
    if _UNTIL_THEN.search(one.text):
        return True
    if is_against(one.text) or _OF_DEALERS.search(one.text):
        return False
    headed = one.part is Part.PRECAUTIONS and not _NOTE.match(paper.part_at(one.begins).label)
    if headed or _MARK.match(one.text):
        return bool(_MUST.search(one.text) or _PRECAUTION.search(one.text) or headed)
    if (
        _ONLY_VOLTS.fullmatch(one.text)
        or _AFTER.match(one.text)
        or any(form.search(one.text) for form in _EXACT)
    ):
        return False
    of_supply = _SUPPLY.search(one.text) and _volts(one.text)
    return bool(of_supply or (_PRECAUTION.search(one.text) and not is_relearn(one.text)))


def is_work(one: Sentence) -> bool:
    """Whether a sentence asks something of who does the work, or says where it is no cure."""
    return bool(_ASKS.match(one.text) or is_against(one.text) or is_relearn(one.text) or _volts(one.text))


def _volts(sentence: str) -> bool:
    """Whether a sentence prints a window of voltage."""
    return any(one.unit == "V" for one in read_windows(sentence))


def relearns_in(paper: Paper) -> Iterator[Proposal]:
    """What is learned, reset, calibrated or cleared once the module is programmed."""
    for one in paper.sentences:
        headed = one.part is Part.RELEARNS and len(one.text.split()) > 1
        told = one.part in _WORK and is_relearn(one.text) and not is_against(one.text)
        if (headed or told) and not _is_other(one):
            yield _proposal(Field.RELEARN, paper, one)


def is_against(sentence: str) -> bool:
    """Whether a sentence tells for what the paper is not, or what its remedy does not cure."""
    return _AGAINST.search(sentence) is not None and not _AGAINST_PAPER.search(sentence)


def is_relearn(sentence: str) -> bool:
    """Whether a sentence tells what is learned, reset, calibrated or cleared after the work."""
    return _RELEARN.search(sentence) is not None and not _SAYS_SO.search(sentence)


def exact_entries_in(paper: Paper) -> Iterator[Proposal]:
    """What must be typed exactly as it is printed; what is secret or the customer's own is none."""
    places: list[tuple[int, int]] = []
    for form in _EXACT:
        for found in form.finditer(paper.flat):
            name = str(found.lastgroup)
            begins, ends = found.start(name), found.start(name) + len(found[name].rstrip(" .\"\u201d'"))
            asked = paper.flat[max(0, found.start() - 10) : begins]
            if not _SECRET.search(asked) and not overlaps(begins, ends, places):
                places.append((begins, ends))
    for one in paper.sentences:
        if one.part is Part.EXACT and not overlaps(one.begins, one.ends, places):
            places.append((one.begins, one.ends))
    for begins, ends in sorted(places):
        said = paper.text[begins:ends].strip('"\u201c\u201d')
        begins += paper.text[begins:ends].find(said)
        yield Proposal(Field.EXACT_ENTRY, said, begins, begins + len(said))


def against_in(paper: Paper) -> Iterator[Proposal]:
    """Where the paper says that it does not apply or that its remedy is no cure."""
    for one in paper.sentences:
        words = len(one.text.split())
        headed = one.part is Part.AGAINST and words > 1
        told = one.part is not Part.PAPERWORK and is_against(one.text)
        if words <= _MOST_WORDS and (headed or told):
            yield _proposal(Field.SPEAKS_AGAINST, paper, one)


def _proposal(field: Field, paper: Paper, one: Sentence) -> Proposal:
    """The sentence without the mark in front of it."""
    said = paper.flat[one.begins : one.ends]
    mark = _MARK.match(said)
    begins = one.begins + (mark.end() if mark else 0)
    value = " ".join(paper.flat[begins : one.ends].split()).strip(" *")
    return Proposal(field, value, begins, one.ends)


def _is_other(one: Sentence) -> bool:
    return len(one.text.split()) > _MOST_WORDS or len(one.text) < 8
