"""A shop's repair orders as different programs would export them, each file with what it means.

The orders are invented; how programs write days, miles and answers is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from random import Random

from demo_data.makes import make_vin, models
from tests.kb.intake.own_table.writing import as_text, as_workbook

FIRST = date(2023, 6, 1)
COMPLAINTS = (
    *("shudders at 35 mph, warm only", "long crank in the AM; fine after"),
    *('jerks, "like a slip"', "idle hunts"),
)
UPDATES = (("TRN-19-044A", "TCM"), ("NV 20-113", "PCM"), ("18-07-30-012", "BCM"), ("SB-10-0087", "TCM"))


@dataclass(frozen=True)
class Order:
    """One line of a repair order, as it was."""

    number: str
    opened_on: date
    vin: str
    make: str
    model: str
    year: int
    odometer: int
    complaint: str
    update: str = ""
    module: str = ""
    reflashed_on: date | None = None
    gone: bool | None = None
    returned_on: date | None = None
    cost: float | None = None


Write = Callable[[Order], object]


@dataclass(frozen=True)
class Column:
    """A column of an export; `spoiled` is what stands in it where a row is bad, if it can be."""

    name: str
    write: Write
    spoiled: str = ""


@dataclass(frozen=True)
class Export:
    """A file, its orders by line, and the columns of the lines in which a cell was spoiled."""

    name: str
    data: bytes
    good: dict[int, Order]
    bad: dict[int, str]


def orders(seed: int, count: int) -> list[Order]:
    draw, made, opened = Random(seed), list[Order](), FIRST
    for number in range(count):
        opened += timedelta(days=draw.random() < 0.45)
        model, year = draw.choice(models()), draw.randint(2011, 2025)
        vin = make_vin(model, draw.choice(list(model.engines)), year, 1000 + number)
        order = Order(
            str(20_000 + number), opened, vin, model.make, model.name, year,
            draw.randint(20_000, 120_000), draw.choice(COMPLAINTS),
        )  # fmt: skip
        made.append(_reflashed(order, draw) if draw.random() < 0.4 else order)
    return made


def _reflashed(order: Order, draw: Random) -> Order:
    update, module = draw.choice(UPDATES)
    done = order.opened_on + timedelta(days=draw.choice((0, 0, 1, 2)))
    gone = draw.random() < 0.85
    told = replace(order, update=update, module=module, reflashed_on=done, gone=gone)
    if not (gone and draw.random() < 0.3):
        return told
    back = done + timedelta(days=draw.randint(3, 80))
    return replace(told, returned_on=back, cost=round(draw.uniform(30, 1800), 2))


def _day(form: Callable[[date], str], field: str) -> Write:
    def write(order: Order) -> str:
        day: date | None = getattr(order, field)
        return form(day) if day else ""

    return write


def _answer(yes: str, no: str) -> Write:
    return lambda order: "" if order.gone is None else yes if order.gone else no


def _us(day: date) -> str:
    return f"{day.month}/{day.day}/{day.year}"


def _named(day: date) -> str:
    return f"{day:%d-%b-%Y}"


def _serial(day: date) -> str:
    return str((day - date(1899, 12, 30)).days)


def _came_back(order: Order) -> str:
    return f"yes - {_us(order.returned_on)}" if order.returned_on else "no" if order.gone else ""


def _money(order: Order) -> str:
    return f"${order.cost:,.2f}" if order.cost else ""


IN_ONE_CELL = (
    Column("RO #", lambda one: one.number),
    Column("Date In", _day(_us, "opened_on"), "2/31/2025"),
    Column("VIN", lambda one: one.vin, "1G4AH59"),
    Column("Vehicle", lambda one: f"{one.year} {one.make} {one.model}"),
    Column("Odometer", lambda one: f"{one.odometer:,} mi", "see tag"),
    Column("Customer Concern", lambda one: one.complaint),
    Column("Bulletin", lambda one: one.update),
    Column("Module", lambda one: one.module),
    Column("Flash Date", _day(_us, "reflashed_on")),
    Column("Road Test", _answer("OK", "not fixed"), "maybe Tues"),
    Column("Comeback?", _came_back),
    Column("Shop Cost", _money, "ask the office"),
)
UNDER_A_TITLE = (
    Column("Order No.", lambda one: one.number),
    Column("Opened", _day(_named, "opened_on"), "31-Feb-2025"),
    Column("Year", lambda one: one.year, "2O17"),
    Column("Make", lambda one: one.make),
    Column("Model", lambda one: one.model),
    Column("Chassis No.", lambda one: one.vin, "I0OQ"),
    Column("Miles In", lambda one: one.odometer, "not shown"),
    Column("Complaint", lambda one: one.complaint),
    Column("TSB", lambda one: one.update),
    Column("Control Unit", lambda one: one.module),
    Column("Flashed On", _day(_named, "reflashed_on")),
    Column("Verified Fix", _answer("Y", "N")),
    Column("Date Returned", _day(_named, "returned_on"), "2/31"),
)
IN_FIGURES = (
    Column("wo", lambda one: one.number),
    Column("wo date", _day(_serial, "opened_on"), "45x12"),
    Column("ymm", lambda one: f"{one.year % 100:02} {one.make.upper()} {one.model.upper()}"),
    Column("vin", lambda one: one.vin),
    Column("odo", lambda one: f"{one.odometer}.0", "1O2334"),
    Column("issue", lambda one: one.complaint),
    Column("bulletin/operation", lambda one: one.update or "R&R starter"),
    Column("ecu", lambda one: one.module),
    Column("flash date", _day(_serial, "reflashed_on")),
    Column("fixed?", _answer("yes", "no"), "ask the tech"),
    Column("returned", _day(_serial, "returned_on")),
)


def exports(seed: int, count: int, bad: int) -> list[Export]:
    """Four files of as many orders, in so many of which one cell is spoiled."""
    return [
        _export("a.csv", IN_ONE_CELL, seed, count, bad, lambda rows: as_text(rows, ",", "utf-8-sig"), 0),
        _export("b.csv", UNDER_A_TITLE, seed + 1, count, bad, _report, 3),
        _export("c.tsv", IN_FIGURES, seed + 2, count, bad, lambda rows: as_text(rows, "\t", "utf-16"), 0),
        _export("d.xlsx", IN_ONE_CELL, seed + 3, count, bad, _workbook, 1),
    ]


def _report(rows: list[list[str]]) -> bytes:
    title = [["Corner Street Auto – orders"], ["From: 01-Jun-2023  To: 01-Nov-2026"], []]
    total = ["Total orders", "", "", str(len(rows) - 1)]
    return as_text([*title, *rows, total], ";", "cp1252")


def _workbook(rows: list[list[str]]) -> bytes:
    return as_workbook({"Notes": [["kept"]], "Orders": [["Corner Street"], *rows, ["Total"]]})


def _export(
    name: str, columns: Sequence[Column], seed: int, count: int, bad: int,
    write: Callable[[list[list[str]]], bytes], above: int,
) -> Export:  # fmt: skip
    draw, told = Random(seed), orders(seed, count)
    spoiling = [at for at, column in enumerate(columns) if column.spoiled]
    spoiled = {at: spoiling[n % len(spoiling)] for n, at in enumerate(draw.sample(range(count), bad))}
    rows = [[str(column.write(order)) for column in columns] for order in told]
    for at, place in spoiled.items():
        rows[at][place] = columns[place].spoiled
    line = above + 2
    return Export(
        name,
        write([[column.name for column in columns], *rows]),
        {line + at: order for at, order in enumerate(told) if at not in spoiled},
        {line + at: columns[place].name for at, place in spoiled.items()},
    )
