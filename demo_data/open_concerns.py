"""The concerns that are open today, read from open_concerns.toml, one for each state a page shows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from typing import Any

from demo_data.cars import cvn
from demo_data.makes import make_vin, models, read_toml
from demo_data.story import (
    Authorized,
    ClockStarted,
    Found,
    GateSettled,
    GoesOut,
    LookedUp,
    NextSaid,
    Opened,
    StoryEvent,
    Waits,
)
from kb.nouns.bay.clocks import ClockAsked, ClockKind
from kb.nouns.bay.sent_out import SentOutDraft
from kb.nouns.concerns import CodesScanned, CodeStatus, ConcernDraft, Finding, FindingResult, ReportedCode
from kb.nouns.shop.ways import Way
from kb.nouns.vehicles import CalibrationReading, CalibrationSource, LookUp, Vehicle

Row = Mapping[str, Any]


def open_concerns(today: date) -> tuple[dict[str, str], list[StoryEvent]]:
    """What each open concern ("RO-line") shows, and everything recorded of it so far."""
    rows = read_toml("open_concerns.toml")["open"]
    states = {f"{row['ro']}-A": str(row["state"]) for row in rows}
    return states, [event for row in rows for event in _events(row, today)]


def _events(row: Row, today: date) -> Iterator[StoryEvent]:
    day = today - timedelta(days=row["days_ago"])
    concern, by = f"{row['ro']}-A", row["by"]
    yield StoryEvent(day, by, Opened(concern, _draft(row, day)))
    for gate, fine in row["gates"].items():
        yield StoryEvent(day, by, GateSettled(concern, gate, fine, row.get("remarks", {}).get(gate, "")))
    for look_up in row.get("look_ups", ()):
        yield StoryEvent(day, "lead", LookedUp(concern, _look_up(look_up, today)))
    for check, result in row["findings"].items():
        yield StoryEvent(day, by, Found(concern, Finding(check, FindingResult(result))))
    for said in row.get("answers", ()):
        answer = {"who": "the customer", "how": "by phone", "if_not_cured": "credited"} | said
        yield StoryEvent(day, by, Authorized(concern, **answer))
    for clock in row.get("clocks", ()):
        asked = {name: said for name, said in clock.items() if name not in ("kind", "hours_ago")}
        started = ClockStarted(
            concern, ClockAsked(ClockKind(clock["kind"]), **asked), clock.get("hours_ago", 0)
        )
        yield StoryEvent(day, by, started)
    if "next" in row:
        yield StoryEvent(day, by, NextSaid(concern, *row["next"]))
    if "waits" in row:
        yield StoryEvent(day, by, Waits(concern, *row["waits"]))
    if "sent_out" in row:
        sent = row["sent_out"] | {"way": Way(row["sent_out"]["way"])}
        yield StoryEvent(day, by, GoesOut(concern, SentOutDraft(**sent)))


def _look_up(row: Row, today: date) -> LookUp:
    """An old look-up was made at an earlier visit; it keeps its own day."""
    looked = today - timedelta(days=row["days_ago"])
    return LookUp(row["module"], looked, "lead", row["newest"], nothing_newer=not row["newest"])


def _draft(row: Row, day: date) -> ConcernDraft:
    codes = tuple(ReportedCode(code, status=CodeStatus.CURRENT) for code in row["codes"])
    scanned = CodesScanned.STORED if codes else CodesScanned(row.get("codes_scanned", "none_stored"))
    return ConcernDraft(
        ro_number=row["ro"],
        line="A",
        complaint=row["complaint"],
        technician_words=row["technician_words"],
        vehicle=_vehicle(row),
        odometer=row["odometer"],
        codes=codes,
        codes_scanned=scanned,
        calibrations=tuple(_reading(*one) for one in row["calibrations"]),
        conditions=tuple(row["conditions"]),
        frequency=row["frequency"],
        just_before=row.get("just_before", ""),
        started="last week",
        opened_on=day,
    )


def _vehicle(row: Row) -> Vehicle:
    make, name, year, engine, serial = row["car"]
    model = next(one for one in models() if (one.make, one.name) == (make, name))
    days = row.get("built_days")
    built_on = date(year - 1, 8, 1) + timedelta(days=days) if days is not None else None
    return Vehicle(make, name, year, engine, built_on, make_vin(model, engine, year, serial))


def _reading(module: str, known: str, source: str) -> CalibrationReading:
    """Typed IDs stay unconfirmed here: that is what the page has to show."""
    confirmed = source != CalibrationSource.TYPED.value
    return CalibrationReading(module, known, CalibrationSource(source), confirmed, cvn(known))
