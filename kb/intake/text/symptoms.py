"""What a paper says the vehicle does.

A sentence counts that tells something a driver, a tool or an inspection notices, above what is done about it.
What only goes on inside of a part is no symptom where the paper tells what comes of it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import partial

from kb.intake.text.doing import is_work
from kb.intake.text.own_words import LAW, RISK, own_words
from kb.intake.text.paper.headings import Part
from kb.intake.text.paper.layout import Paper, Sentence
from kb.intake.text.phrases import phrases
from kb.intake.text.proposal import Field, Proposal
from kb.words.defect import tells_remedy

MOST = 6
_NOTICED, _FELT, _INSIDE = phrases("noticed"), phrases("felt"), phrases("inside")
_MAY_DO = phrases(
    "may_do_on_paper",
    before=r"\b(?:may|might|can|could|would)\s+(?!(?:also\s+|not\s+)*have\b)(?:(?:also|not|then|\w+ly)\s+)?(?!",
    behind=r")\w+",
)
"""What somebody or something may do; what owners and dealers may do is none of the vehicle's."""
_WILL_DO = phrases(
    "of_vehicle",
    before=r"\bwill(?=\s+(?:result\s+in|cause|lead\s+to|lose)\b)|\b",
    behind=r"\b[^.;]{0,40}?\bwill\s+(?!be\b|receive\b|need\b|require\b|have\b|continue\b)",
)
"""What the vehicle does for certain, as it may do other things; what will be done to it is a remedy."""
_OF_PAPER = phrases("of_paper")
_AT_THE_MAKER = phrases("at_the_maker")
_OF_OTHERS = phrases("of_others")
_LISTS = re.compile(r"\b(?:symptoms?|conditions?|concerns?|complaints?)\b[^:]*:\s*$", re.IGNORECASE)
TOLD = (Part.SYMPTOM,)
ELSEWHERE = (Part.PLAIN, Part.NUMBER, Part.CONDITIONS, Part.CAUSE)
LEAST_WORDS, _MOST_WORDS = 2, 90
_A_LINE = 60
"""What is shorter and ends in no period is a name or a heading."""
_HAPPENS = re.compile(r"\b(?:occurs?|happens?|appears?|acts?\s+up|noticed|noticeable)\b", re.IGNORECASE)
_HAPPENINGS = (_HAPPENS, _MAY_DO, _NOTICED)


def symptoms_in(paper: Paper) -> Iterator[Proposal]:
    """The sentences that tell what the vehicle does, those under a heading of symptoms first."""
    for one in _symptom_sentences(paper):
        value = one.text.strip(" :,.")
        if len(value.split()) >= LEAST_WORDS:
            yield Proposal(Field.SYMPTOM, value, one.begins, one.ends)


def may_happen(sentence: str) -> bool:
    """Whether a sentence tells what may happen, or what somebody notices."""
    return any(told.search(sentence) for told in _HAPPENINGS)


def of_paper(sentence: str) -> bool:
    """Whether a sentence speaks of letters, claims or the law: nothing of the vehicle."""
    return _OF_PAPER.search(sentence) is not None


def _symptom_sentences(paper: Paper) -> Sequence[Sentence]:
    """The sentences of a paper that tell what the vehicle does, each without what stands around that."""
    own = [one for one in map(partial(_own, paper), paper.sentences) if one]
    headed = [one for one in own if one.part in TOLD and _may_tell(one)]
    strong = [one for one in headed if _tells(one)]
    if headed and not any(RISK.match(one.text) for one in headed):
        return _outside(strong or headed)
    listed = _listed(paper)
    if listed:
        return [one for one in paper.sentences if one.begins in listed][: 2 * MOST]
    names = {" ".join(paper.flat[one.begins : one.ends].split()) for one in paper.of(Part.TITLE)}
    told = [one for one in own if one.part in (*ELSEWHERE, *TOLD) and _may_tell(one)]
    told = [
        one for one in told if one.text not in names and (_is_ended(paper, one) or len(one.text) > _A_LINE)
    ]
    return _outside([one for one in told if _tells(one)] or [one for one in told if _MAY_DO.search(one.text)])


def _own(paper: Paper, one: Sentence) -> Sentence | None:
    """The sentence without what stands around what it tells; None where nothing is left that it tells."""
    own = own_words(paper, one)
    of_law = LAW.search(one.text) is not None and _NOTICED.search(own.text) is not None
    return own if own.ends == one.ends or of_law or _MAY_DO.search(own.text) else None


def _is_ended(paper: Paper, one: Sentence) -> bool:
    """Whether a sentence is one: it ends in a period, or was cut."""
    return paper.flat[one.ends - 1] == "." or paper.flat[one.ends : one.ends + 1].strip() != ""


def _outside(told: Sequence[Sentence]) -> Sequence[Sentence]:
    """Without what only goes on inside of a part, where something else is told; the first few."""
    felt = [one for one in told if _FELT.search(one.text) or not _INSIDE.search(one.text)]
    return (felt or told)[:MOST]


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
    said = RISK.sub("", one.text)
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
    if not LEAST_WORDS <= words <= _MOST_WORDS or of_paper(one.text) or is_work(one):
        return False
    said = _WILL_DO.sub(" may ", one.text)
    return not tells_remedy(said) or bool(_NOTICED.search(said) and _MAY_DO.search(said))
