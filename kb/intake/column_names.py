"""What shops call the columns of their own tables (common practice, no source). Only ever a suggestion."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

USUAL_NAMES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "ro_number": (
            *("ro", "ro no", "ro num", "repair order", "repair order no", "repair order number"),
            *("order no", "order number", "work order", "work order no", "work order number", "wo", "wo no"),
        ),
        "line": ("ro line", "job line", "concern line"),
        "opened_on": ("date opened", "opened", "date in", "in date", "ro date", "order date", "date of ro"),
        "vin": ("vehicle id", "vehicle identification number", "chassis no", "vin no", "vin number"),
        "make": ("manufacturer", "brand", "vehicle make"),
        "model": ("vehicle model", "model name"),
        "year": ("model year", "my", "yr", "vehicle year"),
        "engine": ("eng", "engine size", "motor"),
        "odometer": (
            *("mileage", "miles", "odo", "mileage in", "miles in", "odometer in", "odometer reading"),
            "current mileage",
        ),
        "complaint": (
            *("concern", "symptom", "symptoms", "customer concern", "customer complaint", "cust concern"),
            *("cust complaint", "customer states", "c/s", "description", "problem", "issue"),
        ),
        "codes": ("code", "dtc", "dtcs", "dtc codes", "trouble codes", "fault codes", "codes found"),
        "module": (
            "control module",
            "control unit",
            "ecu",
            "module programmed",
            "module flashed",
            "controller",
        ),
        "calibration_before": (
            *("old", "old id", "old cal", "old calibration", "old cal id", "old calibration id"),
            *("cal before", "cal id before", "calibration id before", "id before"),
        ),
        "calibration_after": (
            *("new", "new id", "new cal", "new calibration", "new cal id", "new calibration id"),
            *("cal after", "cal id after", "calibration id after", "id after"),
        ),
        "update": ("bulletin", "bulletin no", "bulletin number", "tsb", "tsb no", "tsb number"),
        "title": ("headline", "heading", "subject"),
        "number": ("bulletin", "bulletin no", "bulletin number", "tsb", "tsb no", "tsb number"),
        "reflashed_on": (
            *("reflash date", "date reflashed", "programmed on", "date programmed", "programming date"),
            *("flash date", "date flashed", "flashed on", "date of flash", "date of reflash"),
        ),
        "duplicated_before": ("duplicated", "verified concern", "concern verified", "concern duplicated"),
        "gone_at_road_test": ("road test ok", "road test passed", "fixed at road test", "road test result"),
        "work_done": (
            *("correction", "corrections", "corrective action", "work performed", "work done", "tech notes"),
            *("technician notes", "technician comments", "tech comments", "resolution", "repair done"),
            *("repair", "repairs", "repairs performed", "repair performed", "service performed", "remedy"),
            *("labor description", "labor performed", "repair notes", "action taken", "what was done", "fix"),
        ),
        "other_work": ("also done", "other repairs", "additional work", "other work done"),
        "returned_on": (
            "comeback date",
            "date returned",
            "date of comeback",
            "came back on",
            "returned date",
        ),
        "last_seen_on": ("last seen", "last known ok", "last visit", "last contact", "last heard"),
        "other_cause": ("root cause", "real cause", "actual cause", "cause found"),
        "cost": ("comeback cost", "cost of comeback"),
        "published_on": ("date published", "issued", "issue date"),
        "system": ("component", "component group"),
    }
)
"""Names with one meaning. "Cause" is not among them: it is filled in on every repair order."""

FLASHED_NAMES = ("flashed", "reflashed", "reflash", "programmed", "flash")
DUPLICATED_NAMES = ("verified", "could duplicate", "duplicate")
ROAD_TEST_NAMES = ("gone", "fixed", "cured", "worked", "ok", "road test", "test drive", "after road test")
RESULT_NAMES = (
    *("result", "results", "outcome", "outcomes", "end result", "final result", "status", "disposition"),
    *("follow up", "follow up result", "what came of it", "came of it"),
)
COMEBACK_NAMES = (
    *("comeback", "comebacks", "came back", "come back", "returned", "repeat", "did it come back"),
    *("comeback y/n", "came back y/n", "comeback yes/no", "returned y/n", "returned for same"),
)
"""Names under which one shop writes a day and another yes and no: taken only where the values fit."""
