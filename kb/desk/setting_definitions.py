"""Every value that a shop may set, with the guess that it starts from."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

GUESS = "guess, common practice, no source"
DESIGN = "chosen by design, no source"
NOT_SET = "not set"


class Kind(StrEnum):
    """How a value is read: `money` and `money_by_name` are kept in minor units, the rest as they stand."""

    MONEY = "money"
    MONEY_BY_NAME = "money_by_name"
    WHOLE = "whole"
    NUMBER = "number"
    SHARE = "share"


@dataclass(frozen=True, slots=True)
class Definition:
    """One setting: what it is called, what it starts from, in which unit and range, and why.

    The range of money is in whole units, a hundredfold in a currency without cents. `empty`: what it means
    that nothing is entered; where it is empty itself something must be.
    """

    key: str
    label: str
    default: Any
    unit: str
    source_line: str
    group: str
    kind: Kind
    low: float = 0.0
    high: float = 1e9
    empty: str = ""


_RATE, _FAILED, _PAYS = "Labor and reflash", "When programming fails", "Who pays"
_WHERE, _SHARED = "Here or sent out", "Shared tablets"
_WINDOW, _LEARN = "Window and look-up", "How the shop learns"
_M, _W, _N, _S = Kind.MONEY, Kind.WHOLE, Kind.NUMBER, Kind.SHARE

# One setting a line reads as the table it is.
# fmt: off
DEFINITIONS: tuple[Definition, ...] = (
    Definition("labor_rate_minor_per_hour", "Labor rate", 15000, "an hour", GUESS, _RATE, _M, 0, 1000),
    Definition("reflash_minutes", "Work for one reflash", 60.0, "min", GUESS, _RATE, _N, 0, 1440),
    Definition("relearn_cost_minor", "Relearns and drive after a reflash", 3000, "", GUESS, _RATE, _M,
        0, 10_000),
    Definition("part_cost_minor", "Part that goes in with the software, labor included", 0, "",
        "not known: set it on the concern", _RATE, _M, 0, 50_000),
    Definition("diagnosis_minutes", "Diagnosis to a conclusion", 150.0, "min", GUESS, _RATE, _N, 0, 6000),
    Definition("waiting_minor_per_hour", "A vehicle that waits for a check", 500, "an hour", GUESS, _RATE, _M,
        0, 1000),
    Definition("vehicle_day_minor", "A day on which a vehicle is away to be programmed", 0, "a day", GUESS,
        _RATE, _M, 0, 1000),
    Definition("way_price_limit_days", "What others charge for programming is asked again after", 180, "days",
        GUESS, _RATE, _W, 1, 3650),
    Definition("subscription_fee_minor", "Programming subscription, where no price is entered for the make",
        4000, "a plan", GUESS, _RATE, _M, 0, 20_000),
    Definition("comeback_cost_minor", "One comeback", 25000, "", GUESS, _RATE, _M, 0, 20_000),
    Definition("road_test_failure_cost_minor", "Reflash not cured at road test", 6000, "", GUESS, _RATE, _M,
        0, 20_000),
    Definition("road_test_failure_share", "Of reflashes that do not cure, those that the road test shows",
        0.5, "of 1", GUESS, _RATE, _S, 0, 1),
    Definition("recovery_chance", "Chance that a failed programming needs recovery", 0.03, "of 1",
        "guess, 3 in 100, common practice, no source", _FAILED, _S, 0, 1),
    Definition("recovery_minutes", "Extra work for a recovery", 60.0, "min", GUESS, _FAILED, _N, 0, 6000),
    Definition("module_lost_chance", "Chance that the module is lost", 0.005, "of 1",
        "guess, 5 in 1,000, common practice, no source", _FAILED, _S, 0, 1),
    Definition("module_price_minor", "A module, programmed", 90000, "", GUESS, _FAILED, _M, 0, 50_000),
    Definition("module_prices_minor", "A module by name, where it differs", {}, "MODULE = price", NOT_SET,
        _FAILED, Kind.MONEY_BY_NAME, 0, 50_000),
    Definition("vehicles_guess_a_year", "Vehicles a year of a make to be programmed, before any is counted",
        6.0, "a year", GUESS, _WHERE, _N, 0.1, 10_000),
    Definition("vehicles_guess_years", "That guess is worth", 0.05, "years of counting", DESIGN, _WHERE, _N,
        0.001, 10),
    Definition("training_by_make_minor", "Training for a make, a year", {}, "MAKE = price", NOT_SET, _WHERE,
        Kind.MONEY_BY_NAME, 0, 50_000),
    Definition("device_rent_by_make_minor", "Renting a pass-thru device for a make, a day", {},
        "MAKE = price", NOT_SET, _WHERE, Kind.MONEY_BY_NAME, 0, 5000),
    Definition("customer_reflash", "Reflash: the customer's share", 1.0, "of 1", GUESS, _PAYS, _S, 0, 1),
    Definition("customer_diagnosis", "Diagnosis: the customer's share", 1.0, "of 1", GUESS, _PAYS,
        _S, 0, 1),
    Definition("customer_check", "Checks: the customer's share", 1.0, "of 1", GUESS, _PAYS, _S, 0, 1),
    Definition("customer_subscription", "Subscription: the customer's share", 1.0, "of 1", GUESS, _PAYS,
        _S, 0, 1),
    Definition("customer_rework", "Comebacks: the customer's share", 0.0, "of 1", GUESS, _PAYS, _S, 0, 1),
    Definition("customer_failed_programming", "Failed programming: the customer's share", 0.0, "of 1",
        GUESS, _PAYS, _S, 0, 1),
    Definition("window_days", "A cure must hold for", 90, "days", GUESS, _WINDOW, _W, 1, 3650),
    Definition("window_miles", "or, where an odometer was recorded, for", 3000, "miles", GUESS, _WINDOW, _W,
        1, 1_000_000),
    Definition("usual_gaps", "An intermittent is watched for at least", 3, "usual gaps", GUESS, _WINDOW, _W,
        1, 100),
    Definition("look_up_limit_days", "A look-up of the newest calibration is good for", 90, "days", GUESS,
        _WINDOW, _W, 0, 3650),
    Definition("prior_cured_in_10", "Of ten reflashes sold on a bulletin alone, how many cured", None,
        "of 10", GUESS, _LEARN, _N, 0, 10, empty="not sure: a new update starts at 5 in 10"),
    Definition("prior_weight", "That answer is worth", None, "vehicles", GUESS, _LEARN, _N, 0.1, 1000,
        empty="8 vehicles; 4 where nobody is sure"),
    Definition("spread_center", "How alike updates are: median of a + b", 8.0, "", DESIGN, _LEARN, _N,
        0.1, 10_000),
    Definition("spread_sd", "and the spread of its logarithm", 1.0, "", DESIGN, _LEARN, _N, 0.05, 5),
    Definition("grade_strong_if_cured", "Match was strong, of 10 that an update cured", 5.0, "of 10", GUESS,
        _LEARN, _N, 0.1, 10),
    Definition("grade_partial_if_cured", "Match was partial, of 10 cured", 3.5, "of 10", GUESS, _LEARN, _N,
        0.1, 10),
    Definition("grade_weak_if_cured", "Match was weak, of 10 cured", 1.5, "of 10", GUESS, _LEARN, _N,
        0.1, 10),
    Definition("grade_strong_if_not", "Match was strong, of 10 not cured", 3.0, "of 10", GUESS, _LEARN, _N,
        0.1, 10),
    Definition("grade_partial_if_not", "Match was partial, of 10 not cured", 4.0, "of 10", GUESS,
        _LEARN, _N, 0.1, 10),
    Definition("grade_weak_if_not", "Match was weak, of 10 not cured", 3.0, "of 10", GUESS, _LEARN, _N,
        0.1, 10),
    Definition("grades_weight", "The guesses about matches are worth", 10.0, "vehicles", GUESS, _LEARN, _N,
        0.1, 1000),
    Definition("alike_phi", "Two checks tell the same from a correlation of", 0.5, "of 1", DESIGN, _LEARN,
        _S, 0, 1),
    Definition("alike_count", "seen in at least", 20, "concerns", DESIGN, _LEARN, _W, 2, 100_000),
    Definition("carry_over", "The record of a replaced calibration counts for the newer one with", 0.5,
        "of 1", GUESS, _LEARN, _S, 0, 1),
    Definition("shared_device_lock_minutes", "A shared tablet asks for the PIN after so long without use",
        720, "min, 0 for never", DESIGN, _SHARED, _W, 0, 4320),
)
# fmt: on

BY_KEY = {definition.key: definition for definition in DEFINITIONS}
