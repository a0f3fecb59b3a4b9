"""Lines that follow from what the shop has, and from the module that is programmed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from kb.nouns.days import day_words
from kb.prep.limits import Limits, Thing, limits_of
from kb.prep.lines import PrepLine
from kb.prep.operating_systems import Computer, fitting
from kb.prep.release import holds_mileage

TUNE = "tune_written_word"
ODOMETER = Thing.ODOMETER.value


def inspection(key: str, name: str) -> PrepLine:
    """Of an update that asks for an inspection first: settled only by what that found."""
    text = f"The inspection that {name} asks for is done, and what it found calls for the software."
    return PrepLine(key, "cabin", text, f"bulletin {name}", asks="what the inspection found")


def device_line(make: str, listed: Sequence[tuple[str, date]]) -> PrepLine:
    """`listed`: the devices that the manufacturer lists as validated, with the day somebody looked."""
    if not listed:
        text = f"No pass-thru device here is known to be listed by {make or 'this manufacturer'}. Look it up."
        return PrepLine("device", "computer", text, "equipment", blocks=True)
    said = ", ".join(f"{name} (listed, looked up {day_words(day)})" for name, day in listed)
    return PrepLine("device", "computer", f"Pass-thru device: {said}", "equipment")


def support_unit_line(names: Sequence[str]) -> PrepLine:
    """`names`: what may hold the voltage while a module is programmed; never a charger."""
    if not names:
        text = "No battery support unit is entered in the shop set-up."
        return PrepLine("support_unit_here", "battery", text, "equipment", blocks=True)
    return PrepLine("support_unit_here", "battery", f"Support unit: {' or '.join(names)}", "equipment")


def subscription_line(make: str, runs_until: date | None) -> PrepLine:
    if runs_until is None:
        who = make or "this manufacturer"
        text = f"No programming subscription runs for {who}. Look up by VIN before buying one."
        return PrepLine("subscription", "computer", text, "subscriptions", blocks=True)
    text = f"Programming subscription runs until {day_words(runs_until)}"
    return PrepLine("subscription", "computer", text, "subscriptions")


def computer_line(make: str, asked: str, computers: Sequence[Computer]) -> PrepLine:
    """The computers held against the operating system that the make asks for; blocks where none has it."""
    who = make or "this manufacturer"
    if not asked:
        text = f"What operating system {who} asks for is not entered: compare it with the manufacturer's page"
        return PrepLine("operating_system", "computer", text, "equipment")
    told = fitting(asked, computers)
    source = f"{who} asks for {asked}"
    if told[True]:
        text = f"Computer with the operating system asked for: {' or '.join(told[True])}"
        text += f" (not {', '.join(told[False])})" if told[False] else ""
    elif told[None] or not computers:
        which = ", ".join(told[None]) or "any computer here"
        text = f"{source}; nobody wrote down what {which} runs: compare it"
    else:
        text = f"{source}; {', '.join(told[False])} has another operating system."
        return PrepLine("operating_system", "computer", text, source, blocks=True)
    return PrepLine("operating_system", "computer", text, source)


def lines_of_module(module: str, *, tune_found: bool) -> tuple[PrepLine, ...]:
    """What a cluster or body module asks for, and a module in which somebody's tune was found."""
    found = []
    if holds_mileage(module):
        text = f"Odometer before, as the vehicle shows it: the {module.strip().upper()} may hold it"
        limits: Limits | None = limits_of(Thing.ODOMETER, "mi")
        found.append(PrepLine(ODOMETER, "cabin", text, "the law", "mi", thing=Thing.ODOMETER, limits=limits))
    if tune_found:
        text = (
            "A tune was found: it is overwritten on the customer's written word only, and with a released "
            "calibration. Emissions-defeating files are never put back"
        )
        asks = "where that word is written: who signed, which paper"
        found.append(PrepLine(TUNE, "computer", text, "the law and the customer", asks=asks))
    return tuple(found)
