"""What a paper says the vehicle does, and under which conditions.

A sentence counts that tells something a driver, a tool or an inspection notices, above what is done about it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from kb.intake.text.doing import is_work
from kb.intake.text.paper.headings import Part
from kb.intake.text.paper.layout import Paper, Sentence
from kb.intake.text.phrases import phrases
from kb.intake.text.proposal import Field, Proposal
from kb.words.defect import tells_remedy

MOST = 6
_NOTICED = phrases("noticed")
_MAY_DO = phrases(
    "may_do_on_paper",
    before=r"\b(?:may|might|can|could|would)\s+(?!(?:also\s+|not\s+)*have\b)(?:(?:also|not|then|\w+ly)\s+)?(?!",
    behind=r")\w+",
)
"""What somebody or something may do; what owners and dealers may do is none of the vehicle's."""
_PAPER = phrases("of_paper")
_AT_THE_MAKER = phrases("at_the_maker")
_OF_OTHERS = phrases("of_others")
_RISK = re.compile(
    r"(?:[,.]|\band\b)?\s*(?:(?:which|this|that|and|thereby|thus|therefore|potentially|could|may|can)\s+)*"
    r"(?:increas\w+|rais\w+)\s+(?:the\s+|a\s+)?(?:potential\s+|possible\s+)?(?:risk|likelihood|possibility|chance)\s+"
    r"of\s+(?:an?\s+|the\s+)?(?:\w+\s+)?(?:crash|injur\w+|accident|collision|rollaway)\b.*$",
    re.IGNORECASE | re.DOTALL,
)
_LEAD = re.compile(
    r"^(?:description\s*:\s*|(?:additionally|also|further|furthermore|moreover|consequently|therefore|as\s+a\s+result"
    r"|over\s+time|however),\s*|\w+\s+has\s+(?:determined|decided)\s+that\s+|(?:on|in)\s+(?:certain|some|the\s+"
    r"(?:affected|subject))\s+(?:\w+\s+)?(?:vehicles?|trucks?|cases?|instances?|models?),\s*)",
    re.IGNORECASE,
)
_LISTS = re.compile(r"\b(?:symptoms?|conditions?|concerns?|complaints?)\b[^:]*:\s*$", re.IGNORECASE)
_TOLD = (Part.SYMPTOM,)
_ELSEWHERE = (Part.PLAIN, Part.NUMBER, Part.CONDITIONS, Part.CAUSE)
_WHEN = phrases(
    "when",
    before=r"(?<![-\w])(?P<clause>(?:(?:only|especially|typically|usually|mostly)\s+)?",
    behind=r"(?:[^.,;\n]|,\s+(?:(?!increas|result|caus)\w+ing\b|such\s+as\b)){0,140}?)(?=[.;)\n]|,(?!\s+(?!increas|result|caus)\w+ing\b|\s+such\s+as\b)|$|\s+(?:may|might|can|could|will"
    r"|the\s+(?:vehicle|engine|transmission|display|screen|camera|driver|customer|rear|image)\s+(?:may|might|can|could|will)"
    r"|increas\w+|result\w+|caus\w+|which|and\s+(?:the\s+\w+\s+(?:may|can|could|will|goes|comes|turns|does)|may)"
    r"|or\s+the\s+\w+\s+(?:may|can|could)|due\s+to|because)\b)",
)
_ANY_TIME = re.compile(
    r"(?:only )?(?:under|in|during) (?:certain|these|some|such|various|the following|specific|any|this) "
    r"(?:\w+ )?(?:circumstances|conditions?|cases|situations?)|(?:during|in) (?:this|that) \w+"
    r"|during a specific.*|during (?:vehicle )?production"
    r"|while driving without the ability.*|if the \w+ continues.*",
    re.IGNORECASE,
)
"""Clauses that say when without saying it."""
_LEAST_WORDS, _MOST_WORDS = 2, 90
_A_LINE = 60
"""What is shorter and ends in no period is a name or a heading."""
_HAPPENS = re.compile(r"\b(?:occurs?|happens?|appears?|acts?\s+up|noticed|noticeable)\b", re.IGNORECASE)
_HAPPENINGS = (_HAPPENS, _MAY_DO, _NOTICED)


def symptoms_in(paper: Paper) -> Iterator[Proposal]:
    """The sentences that tell what the vehicle does, those under a heading of symptoms first."""
    for one in symptom_sentences(paper):
        said = paper.flat[one.begins : one.ends]
        lead, risk = _LEAD.match(said), _RISK.search(said)
        begins = one.begins + (lead.end() if lead else 0)
        ends = one.begins + risk.start() if risk and risk.start() > 20 else one.ends
        value = " ".join(paper.flat[begins:ends].split()).strip(" :,.")
        if len(value.split()) >= _LEAST_WORDS and (ends == one.ends or _MAY_DO.search(value)):
            yield Proposal(Field.SYMPTOM, value, begins, ends)


def conditions_in(paper: Paper) -> Iterator[Proposal]:
    """When it does so: clauses of what tells what may happen, and what is headed as conditions."""
    for one in paper.sentences:
        if _PAPER.search(one.text) or is_work(one):
            continue
        if one.part is Part.CONDITIONS and len(one.text.split()) >= _LEAST_WORDS:
            yield Proposal(Field.CONDITION, one.text.strip(" ."), one.begins, one.ends)
        elif one.part in _TOLD or (
            one.part in _ELSEWHERE and any(told.search(one.text) for told in _HAPPENINGS)
        ):
            yield from _clauses(paper, one)


def _clauses(paper: Paper, one: Sentence) -> Iterator[Proposal]:
    for found in _WHEN.finditer(paper.flat, one.begins, one.ends):
        value = " ".join(found["clause"].split()).strip(" ,")
        if len(value.split()) >= _LEAST_WORDS and not _ANY_TIME.fullmatch(value):
            begins = found.start("clause")
            yield Proposal(Field.CONDITION, value, begins, begins + len(found["clause"].rstrip(" ,")))


def symptom_sentences(paper: Paper) -> Sequence[Sentence]:
    """The sentences of a paper that tell what the vehicle does."""
    headed = [one for one in paper.sentences if one.part in _TOLD and _may_tell(one)]
    strong = [one for one in headed if _tells(one)]
    if headed and not any(_RISK.match(one.text) for one in headed):
        return (strong or headed)[:MOST]
    listed = _listed(paper)
    if listed:
        return [one for one in paper.sentences if one.begins in listed][: 2 * MOST]
    names = {" ".join(paper.flat[one.begins : one.ends].split()) for one in paper.of(Part.TITLE)}
    told = [one for one in paper.sentences if one.part in (*_ELSEWHERE, *_TOLD) and _may_tell(one)]
    told = [
        one for one in told if one.text not in names and (one.text.endswith(".") or len(one.text) > _A_LINE)
    ]
    return ([one for one in told if _tells(one)] or [one for one in told if _MAY_DO.search(one.text)])[:MOST]


def _listed(paper: Paper) -> set[int]:
    """Where the entries of a list begin that is introduced as one of symptoms."""
    found: set[int] = set()
    lists = False
    for one in paper.sentences:
        if one.marked and lists:
            found.add(one.begins)
        elif one.text.strip(" .") or not lists:
            lists = _LISTS.search(one.text) is not None
    return found


def _tells(one: Sentence) -> bool:
    """Whether a sentence tells what a vehicle does or may do, not how it was made."""
    said = _RISK.sub("", one.text)
    if (
        len(said.split()) < 4 < len(one.text.split())
        or not _NOTICED.search(said)
        or _OF_OTHERS.search(said)
        or one.text.endswith((":", "?"))
    ):
        return False
    return _MAY_DO.search(said) is not None or not _AT_THE_MAKER.search(said)


def _may_tell(one: Sentence) -> bool:
    words = len(one.text.split())
    if not _LEAST_WORDS <= words <= _MOST_WORDS or _PAPER.search(one.text) or is_work(one):
        return False
    return not tells_remedy(one.text) or bool(_NOTICED.search(one.text) and _MAY_DO.search(one.text))
