"""What a paper says is done about its concern: the remedy, its module, and the calibrations that change."""

from __future__ import annotations

from collections.abc import Iterator

from kb.intake.places import overlaps
from kb.intake.text.calibration.ids import PrintedStep, steps_in
from kb.intake.text.calibration.suffix_tables import suffix_steps
from kb.intake.text.calibration.suffixes import ids_at
from kb.intake.text.calibration.tables import table_steps
from kb.intake.text.calibration.told import told_steps
from kb.intake.text.modules_told import modules_told
from kb.intake.text.paper.layout import Paper
from kb.intake.text.proposal import Field, Proposal
from kb.intake.text.remedy_told import remedy_told, telling
from kb.nouns.notes import Remedy


def steps_of(paper: Paper) -> tuple[PrintedStep, ...]:
    """Every change of a calibration ID that a paper prints, once, those of its tables first."""
    found: dict[tuple[tuple[str, ...], str], PrintedStep] = {}
    tables = [*table_steps(paper), *suffix_steps(paper)]
    spans: list[tuple[int, int]] = []
    ids: set[str] = set()
    for one in (*tables, *steps_in(paper.text), *told_steps(paper)):
        places = (*one.old, one.new)
        if one in tables or not any(overlaps(*place, spans) for place in places):
            old, new = one.ids(paper.text)
            if old or new not in ids:
                found.setdefault((old, new), one)
            spans += places
            ids |= {new, *old, one.base.rstrip("-")}
    return tuple(found.values())


def software_in(paper: Paper) -> Iterator[Proposal]:
    """The remedy, the modules and the calibration IDs that a paper tells."""
    steps = steps_of(paper)
    for number, step in enumerate(steps, 1):
        yield from _ids(paper, number, step)
    told, read = remedy_told(paper)
    of_remedy = "" if read.remedy is Remedy.NOTICE else read.module
    yield from modules_told(paper, steps, of_remedy)
    if steps and not read.remedy.holds_software:
        yield Proposal(Field.REMEDY, Remedy.SOFTWARE.value, *steps[0].new)
    elif read.remedy is not Remedy.NOT_SAID:
        yield Proposal(Field.REMEDY, read.remedy.value, *telling(told, read.remedy))


def _ids(paper: Paper, number: int, step: PrintedStep) -> Iterator[Proposal]:
    """The old IDs of a step and its new one, those that are printed by their ends written out."""
    old = {begins for begins, _ in step.old}
    for begins, ends in step.old:
        for value, at, stops in ids_at(paper.text, begins, ends, old):
            yield Proposal(Field.OLD_ID, step.base + value, at, stops, step=number)
    yield Proposal(Field.NEW_ID, step.ids(paper.text)[1], *step.new, step=number)
