"""The remedy that a paper tells, with the sentence that tells it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from kb.intake.government.remedies import RemedyRead, read_remedy
from kb.intake.text.doing import is_against, is_relearn
from kb.intake.text.paper.headings import Part
from kb.intake.text.paper.layout import Paper, Sentence
from kb.intake.text.phrases import phrases
from kb.nouns.notes import Remedy

_WORK = frozenset((Part.PROCEDURE, Part.PRECAUTIONS, Part.RELEARNS, Part.EXACT))
_NO_REMEDY = frozenset((Part.PAPERWORK, Part.CALIBRATIONS, Part.DAY, Part.AGAINST, Part.CAUSE))
_ORDERED_IN = frozenset((Part.PLAIN, Part.REMEDY, Part.PROCEDURE))
MOST_SENTENCES = 400
"""What is done is told in so many sentences of a paper, or not at all."""
_MOST_LOOKED_AT = 120
_TABLE_HEAD = re.compile(
    r"\b(?:old|current|existing|previous|before|present)\b.*\b(?:new|updated|after|replacement|target)\b",
    re.IGNORECASE,
)
_LOOK = phrases("look_ordered", before=r"^\W*(?:then |first,? )?")
_NO_LOOK = phrases("looked_at_for_programming")
_PART = phrases("part_ordered", before=r"(?:^\W*(?:then )?|\band )")
_FLASH = phrases("flash_ordered")


def remedy_told(paper: Paper) -> tuple[Sequence[Sentence], RemedyRead]:
    """The sentences that tell what is done and what they tell: how the work goes, and what is learned after
    it, counts only where nothing else says it.
    """
    said = [one for one in paper.sentences if one.part not in _NO_REMEDY and _may_tell(one)][:MOST_SENTENCES]
    plainly = [one for one in said if one.part not in _WORK and not is_relearn(one.text)]
    untitled = [one for one in plainly if one.part is not Part.TITLE]
    read = RemedyRead()
    for told in (untitled, plainly, said):
        read = read_remedy(["\n".join(one.text for one in told)])
        if read.remedy is not Remedy.NOT_SAID:
            module = read.module or read_remedy(["\n".join(one.text for one in said)]).module
            return told, replace(read, remedy=_with_orders(said, read.remedy), module=module)
    return said, read


def telling(told: Sequence[Sentence], remedy: Remedy) -> tuple[int, int]:
    """The sentence that tells it, or else the first that tells anything of what is done, or the first of
    all.
    """
    other: tuple[int, int] | None = None
    for one in told[:_MOST_LOOKED_AT]:
        said = read_remedy([one.text]).remedy
        if said is remedy:
            return one.begins, one.ends
        if said is not Remedy.NOT_SAID:
            other = other or (one.begins, one.ends)
    return other or (told[0].begins, told[0].ends)


def _may_tell(one: Sentence) -> bool:
    heads_table = not one.text.endswith(".") and _TABLE_HEAD.search(one.text) is not None
    return not (is_against(one.text) or heads_table)


def _with_orders(said: Sequence[Sentence], remedy: Remedy) -> Remedy:
    """Bulletins order in a few words what recalls tell at length: what is looked at before the software, and
    which part is put in beside it.
    """
    if remedy is not Remedy.SOFTWARE:
        return remedy
    ordered = [one.text for one in said if one.part in _ORDERED_IN]
    flash = next((n for n, text in enumerate(ordered) if _FLASH.search(text)), len(ordered))
    if any(_LOOK.search(text) and not _NO_LOOK.search(text) for text in ordered[:flash]):
        return Remedy.INSPECT_THEN_SOFTWARE
    return Remedy.SOFTWARE_AND_PART if any(map(_PART.search, ordered)) else remedy
