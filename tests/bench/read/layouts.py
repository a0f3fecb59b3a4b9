"""Sixty texts as people paste them: twelve layouts made up here, five cars in each.

A layout is a function that writes a car and says which of its values it wrote.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from random import Random

from tests.bench.read.truth import MODULES, STATES, Car, Code, Module, car

Value = tuple[str, str, str, str]
"""Field, value, module (empty where nothing is of one), state of a code."""


@dataclass(frozen=True, slots=True)
class Written:
    layout: str
    text: str
    values: frozenset[Value]


def texts(seed: int = 16, each: int = 5) -> Iterator[Written]:
    for number, layout in enumerate(LAYOUTS):
        for n in range(each):
            draw = Random(seed * 10_000 + number * 100 + n)
            of = car(draw, draw.randrange(2, 5))
            text, values = layout(of, draw)
            yield Written(layout.__name__.strip("_"), text, frozenset(values))


def _said(one: Code, draw: Random) -> str:
    return draw.choice(STATES[one.status])


def _codes(modules: tuple[Module, ...]) -> set[Value]:
    return {("code", one.code, module.short, one.status) for module in modules for one in module.codes}


def _ids(modules: tuple[Module, ...], *fields: str) -> set[Value]:
    every = set()
    for module in modules:
        by = {
            "calibration_id": module.ids,
            "cvn": module.cvns,
            "hardware_number": (module.hardware,),
            "software_number": (module.software,),
        }
        every |= {(field, value, module.short, "") for field in fields for value in by[field]}
    return every


def _head(of: Car) -> set[Value]:
    return {("vin", of.vin, "", ""), ("odometer", str(of.odometer), "", "")}


def _volts(of: Car) -> set[Value]:
    return {("voltage", of.voltage, "", "")}


def _blocks(of: Car, draw: Random) -> tuple[str, set[Value]]:
    """A heading for each module, "key: value" below it."""
    lines = [
        "VEHICLE SCAN",
        f"VIN: {of.vin}",
        f"Odometer: {of.odometer:,} mi",
        f"Battery voltage: {of.voltage} V",
        "",
    ]
    for one in of.modules:
        lines += [f"{MODULES[one.short]} ({one.short})", "-" * 30]
        lines += [f"  Calibration ID: {each}" for each in one.ids] + [f"  CVN: {each}" for each in one.cvns]
        lines += [f"  Hardware no.: {one.hardware}", f"  Software no.: {one.software}"]
        lines += [f"  {each.code}  {_said(each, draw)}" for each in one.codes] or ["  No codes"]
        lines.append("")
    every = ("calibration_id", "cvn", "hardware_number", "software_number")
    return "\n".join(lines), _head(of) | _volts(of) | _codes(of.modules) | _ids(of.modules, *every)


def _ruled_table(of: Car, draw: Random) -> tuple[str, set[Value]]:
    """Two tables with bars between their columns."""
    rows = ["| Module | Code | Status |", "|---|---|---|"]
    rows += [f"| {m.short} | {c.code} | {_said(c, draw)} |" for m in of.modules for c in m.codes]
    more = ["| ECU | Cal ID | CVN |", "|---|---|---|"]
    more += [f"| {m.short} | {i} | {v} |" for m in of.modules for i, v in zip(m.ids, m.cvns, strict=True)]
    text = "\n".join([f"vin {of.vin}", "", *rows, "", *more])
    return text, {("vin", of.vin, "", "")} | _codes(of.modules) | _ids(of.modules, "calibration_id", "cvn")


def _columns(of: Car, draw: Random) -> tuple[str, set[Value]]:
    """Columns set with blanks, the module said once for several rows."""
    lines = [f"VIN      {of.vin}", f"Mileage  {of.odometer}", "", f"{'Control unit':<34}{'DTC':<12}State"]
    for one in of.modules:
        for n, each in enumerate(one.codes):
            name = f"{MODULES[one.short]} - {one.short}" if n == 0 else ""
            lines.append(f"{name:<34}{each.code:<12}{_said(each, draw)}")
    return "\n".join(lines), _head(of) | _codes(of.modules)


def _csv(of: Car, draw: Random) -> tuple[str, set[Value]]:
    """Comma-separated, with a head."""
    lines = ["vin,module,calibration_id,cvn,hardware_number,software_number"]
    lines += [
        f"{of.vin},{m.short},{i},{v},{m.hardware},{m.software}"
        for m in of.modules
        for i, v in zip(m.ids, m.cvns, strict=True)
    ]
    every = ("calibration_id", "cvn", "hardware_number", "software_number")
    return "\n".join(lines), {("vin", of.vin, "", "")} | _ids(of.modules, *every)


def _one_liner(of: Car, draw: Random) -> tuple[str, set[Value]]:
    """A technician's own note in one line, the VIN in groups."""
    parts = (of.vin[:3], of.vin[3:9], of.vin[9:])
    told = "; ".join(
        f"{m.short}: " + ", ".join(f"{c.code} {_said(c, draw)}" for c in m.codes)
        for m in of.modules
        if m.codes
    )
    said = f"VIN {' '.join(parts)}, {of.odometer:,} miles, battery {of.voltage}V key on. {told}"
    return said, _head(of) | _volts(of) | _codes(of.modules)


def _prose(of: Car, draw: Random) -> tuple[str, set[Value]]:
    """Sentences."""
    first = of.modules[0]
    said = [f"Scanned the car (VIN {of.vin}) at {of.odometer:,} miles."]
    said += [f"Found {c.code} {_said(c, draw)} in the {m.short}." for m in of.modules for c in m.codes]
    said.append(f"The {first.short} calibration ID is {first.ids[0]} and its CVN is {first.cvns[0]}.")
    values = _head(of) | _codes(of.modules)
    values |= {("calibration_id", first.ids[0], first.short, ""), ("cvn", first.cvns[0], first.short, "")}
    return " ".join(said), values


def _by_state(of: Car, draw: Random) -> tuple[str, set[Value]]:
    """A heading for each state, the module behind each code."""
    lines = [f"VIN# {of.vin}"]
    for state, words in STATES.items():
        found = [(c, m) for m in of.modules for c in m.codes if c.status == state]
        lines += ["", f"{words[0].upper()} CODES ({len(found)})"]
        lines += [f"{c.code} [{m.short}]" for c, m in found]
    return "\n".join(lines), {("vin", of.vin, "", "")} | _codes(of.modules)


def _records(of: Car, draw: Random) -> tuple[str, set[Value]]:
    """One record a code, each key on a line of its own."""
    lines = [f"Vehicle Identification Number = {of.vin}"]
    for one in of.modules:
        for each in one.codes:
            lines += [
                "",
                f"Code = {each.code}",
                f"Module = {MODULES[one.short]}",
                f"Status = {_said(each, draw)}",
            ]
    return "\n".join(lines), {("vin", of.vin, "", "")} | _codes(of.modules)


def _json(of: Car, draw: Random) -> tuple[str, set[Value]]:
    """A dump of a program."""
    modules = [
        {
            "module": m.short,
            "calibrationIds": list(m.ids),
            "cvns": list(m.cvns),
            "codes": [{"code": c.code, "status": _said(c, draw)} for c in m.codes],
        }
        for m in of.modules
    ]
    text = json.dumps({"vin": of.vin, "odometer": of.odometer, "modules": modules}, indent=2)
    return text, _head(of) | _codes(of.modules) | _ids(of.modules, "calibration_id", "cvn")


def _turned_table(of: Car, draw: Random) -> tuple[str, set[Value]]:
    """Modules across, fields down, parted by tabs."""
    firsts = [(m, m.ids[0], m.cvns[0]) for m in of.modules]
    lines = [
        "\t".join(["", *(m.short for m, _, _ in firsts)]),
        "\t".join(["Calibration ID", *(i for _, i, _ in firsts)]),
        "\t".join(["CVN", *(v for _, _, v in firsts)]),
        "\t".join(["Hardware number", *(m.hardware for m, _, _ in firsts)]),
    ]
    values: set[Value] = {("vin", of.vin, "", "")}
    for module, first, verified in firsts:
        values |= {("calibration_id", first, module.short, ""), ("cvn", verified, module.short, "")}
        values.add(("hardware_number", module.hardware, module.short, ""))
    return "\n".join([of.vin, *lines]), values


def _numbered(of: Car, draw: Random) -> tuple[str, set[Value]]:
    """A numbered list of modules, IDs numbered too, values below their labels."""
    lines = [f"VIN: {of.vin[:4]}-{of.vin[4:8]}-{of.vin[8:]}"]
    for n, one in enumerate(of.modules, start=1):
        lines.append(f"{n}. {one.short} - {MODULES[one.short]}")
        lines += [f"   CALID {k}: {each}" for k, each in enumerate(one.ids, start=1)]
        lines += [f"   CVN {k}: {each[:4]} {each[4:]}" for k, each in enumerate(one.cvns, start=1)]
        lines += [f"   - {each.code} ({_said(each, draw)})" for each in one.codes]
    return "\n".join(lines), {("vin", of.vin, "", "")} | _codes(of.modules) | _ids(
        of.modules, "calibration_id", "cvn"
    )


def _message(of: Car, draw: Random) -> tuple[str, set[Value]]:
    """What somebody typed on a phone: lower case, short."""
    lines = [f"vin is {of.vin.lower()} odo {of.odometer}"]
    for one in of.modules:
        if one.codes:
            lines.append(f"{one.short.lower()} has " + " and ".join(c.code.lower() for c in one.codes))
        lines.append(f"{one.short.lower()} cal id {one.ids[0]} cvn {one.cvns[0].lower()}")
    values = _head(of)
    for one in of.modules:
        values |= {("code", c.code, one.short, "") for c in one.codes}
        values |= {("calibration_id", one.ids[0], one.short, ""), ("cvn", one.cvns[0], one.short, "")}
    return "\n".join(lines), values


LAYOUTS: tuple[Callable[[Car, Random], tuple[str, set[Value]]], ...] = (
    _blocks, _ruled_table, _columns, _csv, _one_liner, _prose,
    _by_state, _records, _json, _turned_table, _numbered, _message,
)  # fmt: skip
