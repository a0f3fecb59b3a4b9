"""From a measured number to a result: by the manufacturer's printed limit first, else the check's own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from kb.nouns.bay.measures import UNITS, Decides, Measure, YesWhen, bounds, plain_number
from kb.nouns.concerns import FindingResult


@dataclass(frozen=True, slots=True)
class LimitHere:
    """A limit that rules on one concern; `note` is what prints it, empty for the check's own."""

    limit: float
    upper: float | None = None
    between: float = 0.0
    note: str = ""


def limits_here(measure: Measure, notes: Mapping[int, str]) -> tuple[LimitHere, ...]:
    """The limits that these notes (names by id) print for the check; where none does, the check's own."""
    printed = tuple(
        LimitHere(one.limit, one.upper, note=notes[one.note_id])
        for one in measure.printed
        if one.note_id in notes
    )
    if printed or measure.limit is None:
        return printed
    return (LimitHere(measure.limit, measure.upper, measure.between),)


def result_of(measure: Measure, limits: Sequence[LimitHere], number: float) -> FindingResult:
    """What the number says; inconclusive where it leaves it open, or where printed limits differ on it."""
    said = {_by_one(measure.yes_when, one, number) for one in limits}
    result = said.pop() if len(said) == 1 else FindingResult.INCONCLUSIVE
    alone = {Decides.YES: FindingResult.YES, Decides.NO: FindingResult.NO}.get(measure.decides, result)
    return result if result is alone else FindingResult.INCONCLUSIVE


def _by_one(yes_when: YesWhen, at: LimitHere, number: float) -> FindingResult:
    upper = at.limit if at.upper is None else at.upper
    toward_no = {
        YesWhen.OVER: at.limit - number,
        YesWhen.UNDER: number - at.limit,
        YesWhen.WITHIN: max(at.limit - number, number - upper),
    }[yes_when]
    past = round(toward_no, 9)  # .3 - .2 is the same distance as .1
    if past < 0 or (past == 0 and yes_when is YesWhen.WITHIN):
        return FindingResult.YES
    return FindingResult.INCONCLUSIVE if past < at.between else FindingResult.NO


def limit_said(measure: Measure, limits: Sequence[LimitHere]) -> str:
    """Such as "over 0.2 V" or "under 45 psi, as TRN-19-044A prints it"; empty where no limit is known."""
    return "; ".join(
        f"{measure.yes_when} {bounds(one.limit, one.upper)} {measure.unit}"
        + (f", as {one.note} prints it" if one.note else "")
        for one in limits
    )


def cannot_be(measure: Measure, number: float) -> str:
    """Why no such value can be, in a sentence; empty where it can."""
    low, high, unit = measure.least, measure.most, measure.unit
    if (low is None or number >= low) and (high is None or number <= high):
        return ""
    least, most = plain_number(low), plain_number(high)
    span = (
        f"between {least} and {most}" if least and most else f"from {least} on" if least else f"up to {most}"
    )
    return f"{plain_number(number)} {unit} cannot be: it lies {span} {unit}. Look at the number and the unit."


def faults_of(measure: Measure) -> dict[str, str]:
    """What of a measure cannot be saved, by field, in words."""
    wrong: dict[str, str] = {}
    if measure.unit not in UNITS:
        wrong["unit"] = "one of " + ", ".join(UNITS)
    if measure.between < 0:
        wrong["between"] = "not below 0"
    pairs = [(measure.limit, measure.upper), *((one.limit, one.upper) for one in measure.printed)]
    within = measure.yes_when is YesWhen.WITHIN
    for at, (low, high) in enumerate(pairs):
        field = "printed" if at else "upper"
        if within and low is not None and (high is None or high <= low):
            wrong[field] = "within needs two numbers, the lower first"
        if not within and high is not None:
            wrong[field] = "over and under take one number"
    if measure.least is not None and measure.most is not None and measure.least >= measure.most:
        wrong["most"] = "must be more than the least that can be"
    own = [number for pair in pairs for number in pair if number is not None]
    if any(cannot_be(measure, number) for number in own):
        wrong["limit"] = "a limit must lie within what can be"
    return wrong
