"""Bodies of `POST /api/what-if`. Ranges are checked where the arithmetic is."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from api.schemas.base import In, Out, Word


class UpdateIn(In):
    """`chance` is the share P_k that this update is the fix, `cost` that of its reflash."""

    name: Word
    chance: float
    cost: float


class CheckIn(In):
    """`yes_if_cured`: chance of a yes if an update is the fix, for all of them or by name."""

    name: Word
    yes_if_cured: float | dict[Word, float]
    yes_if_not: float
    cost: float
    saved_from_diagnosis: float = 0.0


class WhatIfIn(In):
    updates: list[UpdateIn]
    diagnosis_cost: float
    rework_cost: float
    shared_cost: float = 0.0
    checks: list[CheckIn] = Field(default_factory=list)


class CheckNode(Out):
    """`key` is what a finding is put under; made-up checks have none."""

    do: Literal["check"]
    name: str
    key: str | None = None
    expected_cost: float
    yes: PlanNodeOut | None
    no: PlanNodeOut | None


class ReflashNode(Out):
    do: Literal["reflash"]
    name: str
    expected_cost: float
    then: PlanNodeOut | None


class DiagnoseNode(Out):
    do: Literal["diagnose"]
    expected_cost: float


PlanNodeOut = CheckNode | ReflashNode | DiagnoseNode


class WhatIfOut(Out):
    """Nothing is rounded. `zones`: below the first number diagnose, above the second reflash."""

    reflash_cost: float
    diagnose_cost: float
    threshold: float
    expected_cost: float
    zones: list[float] | None = None
    plan: PlanNodeOut
