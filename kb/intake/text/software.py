"""What a paper says is done about its concern: the remedy, its module, and the calibrations that change."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from kb.intake.government.remedies import RemedyRead, read_remedy
from kb.intake.text.calibration_ids import PrintedStep, steps_in
from kb.intake.text.calibration_tables import table_steps
from kb.intake.text.doing import is_against, is_relearn
from kb.intake.text.paper.headings import Part
from kb.intake.text.paper.layout import Paper, Sentence
from kb.intake.text.proposal import Field, Proposal
from kb.nouns.notes import Remedy
from kb.vehicle.modules import modules_named

_WORK = frozenset((Part.PROCEDURE, Part.PRECAUTIONS, Part.RELEARNS, Part.EXACT))
_NO_REMEDY = frozenset((Part.PAPERWORK, Part.CALIBRATIONS, Part.DAY, Part.AGAINST, Part.CAUSE))
MOST_SENTENCES = 400
"""What is done is told in so many sentences of a paper, or not at all."""
_MOST_LOOKED_AT = 120


def steps_of(paper: Paper) -> tuple[PrintedStep, ...]:
    """Every change of a calibration ID that a paper prints, once, those of its tables first."""
    found: dict[tuple[tuple[str, ...], str], PrintedStep] = {}
    tables = list(table_steps(paper))
    spans = [place for one in tables for place in (*one.old, one.new)]
    for one in (*tables, *steps_in(paper.text)):
        if one in tables or not any(b < one.new[1] and one.new[0] < e for b, e in spans):
            found.setdefault(one.ids(paper.text), one)
    return tuple(found.values())


def software_in(paper: Paper) -> Iterator[Proposal]:
    """The remedy, the modules and the calibration IDs that a paper tells."""
    steps = steps_of(paper)
    for number, step in enumerate(steps, 1):
        for begins, ends in step.old:
            yield Proposal(Field.OLD_ID, paper.text[begins:ends], begins, ends, step=number)
        begins, ends = step.new
        yield Proposal(Field.NEW_ID, paper.text[begins:ends], begins, ends, step=number)
    told, read = _told(paper)
    of_remedy = "" if read.remedy is Remedy.NOTICE else read.module
    yield from _modules(paper, steps, of_remedy, list(modules_named(paper.flat)))
    if steps and not read.remedy.holds_software:
        yield Proposal(Field.REMEDY, Remedy.SOFTWARE.value, *steps[0].new)
    elif read.remedy is not Remedy.NOT_SAID:
        yield Proposal(Field.REMEDY, read.remedy.value, *_telling(told, read.remedy))


def _told(paper: Paper) -> tuple[Sequence[Sentence], RemedyRead]:
    """The sentences that tell what is done and what they tell: how the work goes, and what is learned after
    it, counts only where nothing else says it.
    """
    said = [one for one in paper.sentences if one.part not in _NO_REMEDY and not is_against(one.text)][
        :MOST_SENTENCES
    ]
    plainly = [one for one in said if one.part not in _WORK and not is_relearn(one.text)]
    read = RemedyRead()
    for told in (plainly, said):
        read = read_remedy(["\n".join(one.text for one in told)])
        if read.remedy is not Remedy.NOT_SAID:
            return told, replace(read, module=read.module or _module_of(said))
    return said, read


def _module_of(said: Sequence[Sentence]) -> str:
    return read_remedy(["\n".join(one.text for one in said)]).module


def _telling(told: Sequence[Sentence], remedy: Remedy) -> tuple[int, int]:
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


def _modules(
    paper: Paper, steps: Sequence[PrintedStep], of_remedy: str, named: Sequence[tuple[int, int, str]]
) -> Iterator[Proposal]:
    """The modules of the steps, of a heading of modules and of the remedy, each as its shortest name in
    capitals that the paper prints.
    """
    headed = [m for b, _, m in named if paper.part_at(b).part is Part.MODULE]
    by_step = {one.module: number for number, one in reversed(list(enumerate(steps, 1))) if one.module}
    wanted = dict.fromkeys((*by_step, *headed, *([] if by_step or headed else [of_remedy])))
    for module in wanted:
        places = [(b, e) for b, e, one in named if one == module]
        if places:
            begins, ends = min(places, key=lambda place: (not paper.text[slice(*place)].isupper(), place[0]))
            value = " ".join(paper.text[begins:ends].split())
            yield Proposal(Field.MODULE, value, begins, ends, step=by_step.get(module, 0))
