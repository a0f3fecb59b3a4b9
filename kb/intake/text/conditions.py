"""Under which conditions a vehicle does what a paper tells of it."""

from __future__ import annotations

import re
from collections.abc import Iterator

from kb.intake.text.doing import is_work
from kb.intake.text.own_words import own_words
from kb.intake.text.paper.headings import Part
from kb.intake.text.paper.layout import Paper
from kb.intake.text.phrases import phrases
from kb.intake.text.proposal import Field, Proposal
from kb.intake.text.symptoms import ELSEWHERE, LEAST_WORDS, TOLD, may_happen, of_paper

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
    r"|while driving without the ability.*|if the \w+ continues.*|when heated"
    r"|(?:when|if|once|upon|after) (?:an?|the|such an?|any|this|fault|failure)? ?"
    r"(?:fault|failure|malfunction|condition|detection)\b(?: (?:occurs|happens|is detected|detection))?",
    re.IGNORECASE,
)
"""Clauses that say when without saying it."""


def conditions_in(paper: Paper) -> Iterator[Proposal]:
    """When it does so: clauses of what tells what may happen, and what is headed as conditions."""
    for said in paper.sentences:
        one = own_words(paper, said)
        if of_paper(one.text) or is_work(one):
            continue
        if one.part is Part.CONDITIONS and len(one.text.split()) >= LEAST_WORDS:
            yield Proposal(Field.CONDITION, one.text.strip(" ."), one.begins, one.ends)
        elif one.part in TOLD or (one.part in ELSEWHERE and may_happen(one.text)):
            yield from _clauses(paper, said.begins, one.ends)


def _clauses(paper: Paper, begins: int, ends: int) -> Iterator[Proposal]:
    for found in _WHEN.finditer(paper.flat, begins, ends):
        at, stops = found.span("clause")
        stops += (
            found["clause"].count("(") > found["clause"].count(")") and paper.flat[stops : stops + 1] == ")"
        )
        said = paper.flat[at:stops].rstrip(" ,")
        value = " ".join(said.split()).strip(" ,")
        if len(value.split()) >= LEAST_WORDS and not _ANY_TIME.fullmatch(value):
            yield Proposal(Field.CONDITION, value, at, at + len(said))
