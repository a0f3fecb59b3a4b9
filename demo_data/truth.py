"""The true chances behind the invented scenario, for tests to hold estimates against.

Every figure is invented. A shop never knows these; here they are stated so that what the program
estimates from the simulated history can be compared with what made that history.
"""

from __future__ import annotations

from dataclasses import dataclass

WINDOW_DAYS = 90
ROAD_TEST_SHOWS = 0.45
"""Of reflashes that do not cure a concern seen before, the share that the road test shows."""
DELAY_SCALE_DAYS = 30.0
DELAY_SHAPE = 0.9
"""Days to a comeback: Weibull with this scale and shape (intermittents: scale is the usual gap)."""
SILENT = 0.30
"""Vehicles never heard of again, whatever became of them."""
SEEN_ONCE = 0.10
"""Vehicles seen once inside the window and never again, whatever became of them."""
CAME_BY_ITSELF = 1 / 3
"""Of comebacks heard of, those that nobody of the shop had asked for."""
DIAGNOSIS_FINDS = 0.85
"""Of concerns that no update cures, the share whose cause diagnosis finds."""
LEFT_UNDONE = 0.06
"""Customers who decline or go to the dealer before anything is done."""
DUPLICATED = {"yes": 0.84, "no": 0.10, "not_tried": 0.06}
OTHER_WORK = 0.08
RECOVERED, MODULE_LOST, STOPPED, NOTHING_NEWER = 0.03, 0.005, 0.01, 0.03


@dataclass(frozen=True, slots=True)
class UpdateTruth:
    """The true chance that an update cures, among the vehicles it is considered for.

    `reflash_first` is the share of concerns that the shop reflashes without diagnosis. A drifting update
    has `later_cures` from `changes_days_ago` days before today on.
    """

    cures: float
    reflash_first: float = 0.36
    later_cures: float | None = None
    changes_days_ago: int = 0

    def cures_on(self, days_ago: int) -> float:
        drifted = self.later_cures is not None and days_ago < self.changes_days_ago
        return self.later_cures if drifted and self.later_cures is not None else self.cures


@dataclass(frozen=True, slots=True)
class CheckTruth:
    """The true chances of a check's yes, if an update cures the concern and if none does."""

    yes_if_cured: float
    yes_if_not: float


UPDATES: dict[str, UpdateTruth] = {
    "Vell-15": UpdateTruth(0.38),
    "Vell-22": UpdateTruth(0.64),  # earns its place
    "Vell-41": UpdateTruth(0.42),
    "Skerra-07": UpdateTruth(0.20, reflash_first=0.40),  # does not cure on its own
    "Orsel-31": UpdateTruth(0.72, later_cures=0.28, changes_days_ago=270),  # drifting
    "Orsel-33": UpdateTruth(0.30),
    "Orsel-38": UpdateTruth(0.44),
    "Orsel-26": UpdateTruth(0.50),
    "Brell-88": UpdateTruth(0.52),
    "Brell-104": UpdateTruth(0.90, reflash_first=1.0),  # three vehicles only
    "Brell-97": UpdateTruth(0.62),
    "Hespar-12": UpdateTruth(0.36),
    "Hespar-15": UpdateTruth(0.55),
    "Hespar-17": UpdateTruth(0.50),
    "Hespar-20": UpdateTruth(0.45),
    "Hespar-21": UpdateTruth(0.48),
}

CHECKS: dict[str, CheckTruth] = {
    "bulletin_conditions": CheckTruth(0.84, 0.46),
    "unnamed_code": CheckTruth(0.14, 0.44),
    "began_after_event": CheckTruth(0.08, 0.33),
    "wiggle_test": CheckTruth(0.05, 0.22),
    "voltage_drop": CheckTruth(0.06, 0.27),
    "like_vehicle": CheckTruth(0.55, 0.24),
    "fuel_trim": CheckTruth(0.16, 0.58),
    "smoke_test": CheckTruth(0.06, 0.46),
    "fuel_pressure": CheckTruth(0.05, 0.28),
    "misfire_stays": CheckTruth(0.09, 0.42),
    "relative_compression": CheckTruth(0.04, 0.20),
    "engine_oil": CheckTruth(0.12, 0.27),
    "purge_valve": CheckTruth(0.07, 0.34),
    "cold_soak_sensors": CheckTruth(0.05, 0.18),
    "transmission_fluid": CheckTruth(0.10, 0.45),
    "converter_slip": CheckTruth(0.13, 0.52),
    "shift_adaptives": CheckTruth(0.34, 0.55),
    "same_shift": CheckTruth(0.77, 0.38),
    "key_off_draw": CheckTruth(0.80, 0.15),
    "corrosion": CheckTruth(0.05, 0.30),
    "add_on": CheckTruth(0.12, 0.38),
    "bus_resistance": CheckTruth(0.93, 0.61),
    "low_voltage_codes": CheckTruth(0.18, 0.51),
    "block_spread": CheckTruth(0.06, 0.44),
    "cooling_flow": CheckTruth(0.08, 0.33),
}
