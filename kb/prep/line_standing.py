"""Where a line of the preparation list stands: the value measured beside what can be right and is printed."""

from __future__ import annotations

from dataclasses import dataclass

from kb.errors import BadInput
from kb.prep.limits import Thing, read_value
from kb.prep.lines import PrepLine

RIPPLE_ASK, RIPPLE_STOP = 100.0, 500.0
"""mV peak to peak: above the first find out why, above the second stop. Guesses, where nothing is printed."""
_MOST_AT_REST = 13.2
"""V: more than a rested 12 V battery holds (common practice, no source; some chemistries rest near 13.3)."""


@dataclass(frozen=True, slots=True)
class Standing:
    """`settled` by somebody; `inside` its window, None where none is known; `says` what to do about it."""

    settled: bool
    inside: bool | None = None
    says: str = ""


def standing(line: PrepLine, by: str, measured: str, passed_over: str) -> Standing:
    """A value kept from before is held against what is printed and possible today."""
    if not by:
        return Standing(False, says=_asked_for(line))
    if not line.unit:
        return Standing(True)
    try:
        value = read_value(measured, line.unit, line.limits) if measured else None
        if value is not None and not passed_over:
            must_be_right(line, value)
    except BadInput as wrong:
        return Standing(bool(passed_over), says=wrong.message)
    inside = line.window.holds(value) if line.window and value is not None else None
    said = (_asked_for(line), _remark(line, value) if value is not None else "")
    return Standing(True, inside, " ".join(filter(None, said)))


def must_be_right(line: PrepLine, value: float) -> None:
    """Raise BadInput where a value cannot stand: charge first, too much ripple, outside its window."""
    if line.limits and line.thing is Thing.RESTED and value < line.limits.low:
        raise BadInput(
            f"{value:g} {line.unit} at rest is under {line.limits.low:g}: charge first, then measure again.",
            fields={"measured": "charge first", "reason": "charge first"},
        )
    if line.window is None and line.thing is Thing.RIPPLE and value > RIPPLE_STOP:
        raise BadInput(
            f"{value:g} mV of ripple: stop. Over {RIPPLE_STOP:g} mV this supply is not clean; use another.",
            fields={"measured": "too much ripple", "reason": "too much ripple"},
        )
    if line.window and not line.window.holds(value):
        raise BadInput(
            f"{value:g} {line.unit} is outside {line.window.words(line.unit)}. "
            "Put it right and measure again, or pass over it with a reason.",
            fields={"measured": "outside the window", "reason": "outside the window"},
        )


def _remark(line: PrepLine, value: float) -> str:
    times = 2 if line.limits and line.limits.low > 20 else 1
    if line.thing is Thing.RESTED and value > _MOST_AT_REST * times:
        return f"{value:g} V is more than most batteries hold at rest: is the support off?"
    if line.thing is Thing.RIPPLE and line.window is None and value > RIPPLE_ASK:
        return f"Over {RIPPLE_ASK:g} mV: find out why before programming."
    return ""


def _asked_for(line: PrepLine) -> str:
    """What is not known of a window, and who enters it."""
    if line.beyond:
        one = line.beyond[0]
        return (
            f"{one.source} prints {one.window.words(line.unit)}, past what is usually possible. "
            "It counts once the lead confirms it with its source."
        )
    if line.window is None and line.thing is Thing.SUPPORT:
        return (
            "No window is known: the value is kept as measured and not called inside. Look it up in the "
            "manufacturer's programming instructions, and have the lead enter it."
        )
    return ""
