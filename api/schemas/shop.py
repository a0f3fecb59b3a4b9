"""Bodies about settings, checks, equipment and what makes ask for. Money is in whole units."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

from pydantic import Field, Strict

from api.schemas.base import Day, IdIn, In, Money, Out, Text, Word
from api.schemas.money import in_whole_units
from kb.desk.notes.check_counts import Believed, WhatItWouldChange
from kb.desk.shop.equipment import EquipmentKind
from kb.desk.shop.requirements import RequirementDraft
from kb.desk.shop.upkeep import EquipmentCost, Upkeep, VersionView
from kb.nouns.advice import EvidenceCounts
from kb.nouns.bay.measures import Decides, Measure, YesWhen

Minutes = Annotated[float, Field(ge=0, le=100_000)]
InTen = Annotated[float, Field(ge=0, le=10)]


class SettingOut(Out):
    """One value with where it comes from; without an author it is the guess that every shop starts from.

    `value` is null where nothing was entered; `empty` says what that means, and is empty where it may not be.
    """

    key: str
    label: str
    value: Any
    empty: str
    unit: str
    kind: str
    group: str
    low: float
    high: float
    source_line: str
    author: str
    set_on: date | None
    version: int


class SettingBody(In):
    """`source_line` says why it is so. With `version`, a stale one is refused (409). A value of null takes
    back what may be left empty.
    """

    value: Annotated[float, Strict()] | Text | dict[Word, float] | None
    source_line: Text = ""
    version: int | None = None


class PrintedLimitBody(In):
    """A limit as a note prints it, in the check's unit; `upper` where it prints a range."""

    note_id: IdIn
    limit: float
    upper: float | None = None


class MeasureBody(In):
    """How a number decides the check: over or under `limit`, or within `limit` to `upper`, it says yes; else
    no, except within `between` of the limit on that side. `decides`: which results it gives by itself.
    `printed` limits of notes come before the check's own. Outside `least` to `most` no value can be.
    """

    unit: Word
    yes_when: YesWhen = YesWhen.OVER
    limit: float | None = None
    upper: float | None = None
    between: float = 0.0
    decides: Decides = Decides.BOTH
    least: float | None = None
    most: float | None = None
    left_open: Text = ""
    printed: list[PrintedLimitBody] = Field(default_factory=list, max_length=1000)


class CheckBody(In):
    """A check: what to do, its two words, and the guesses what it tells (see the checks page).

    `repair`: what to do where its result names a fault, such as "Repair the leak".
    """

    name: Word
    question: Text
    yes_word: Word
    no_word: Word
    yes_in_10_cured: InTen
    yes_in_10_not: InTen
    system: Word = "all"
    minutes: Minutes = 0.0
    wait_minutes: Minutes = 0.0
    needs: Word = ""
    told_with: Word = ""
    caution: Text = ""
    repair: Word = ""
    cost: Money = 0.0
    saved: Money = 0.0
    weight: Annotated[float, Field(ge=0.01, le=1000)] = 4.0
    source_line: Text = ""
    attached_to: list[IdIn] = Field(default_factory=list, max_length=10_000)
    measure: MeasureBody | None = None


class CheckChange(CheckBody):
    version: int


class CheckContentOut(Out):
    name: str
    question: str
    yes_word: str
    no_word: str
    yes_in_10_cured: float
    yes_in_10_not: float
    system: str
    minutes: float
    wait_minutes: float
    needs: str
    told_with: str
    caution: str
    repair: str
    cost: float
    saved: float
    weight: float
    source_line: str
    attached_to: list[int]
    measure: Measure | None = None


class CheckOut(Out):
    id: int
    key: str
    version: int
    author: str
    retired: bool
    content: CheckContentOut


class CheckCountsOut(Out):
    """The shop's closed concerns behind a check, and what is `believed` of it with its guess.

    `if_used`: what using the counts as its guess would change; null where too few counted, as `few` says.
    `limit`: which limit would fit the values measured here, a suggestion and no specification.
    """

    check_id: int
    key: str
    version: int
    counts: EvidenceCounts
    believed: Believed
    if_used: WhatItWouldChange | None
    few: str
    limit: str


class DecidesOut(Out):
    """On how many `concerns` a check could decide (asked or done), how often the plan `asked` for it, it was
    `done`, its result `turned` the plan, or it was `too_dear`. `is_idle` is null where it cannot be told yet.
    """

    key: str
    concerns: int
    asked: int
    done: int
    turned: int
    too_dear: int
    is_idle: bool | None
    said: str


class VersionBody(In):
    version: int


class EquipmentBody(In):
    """`validated`: make to the day somebody looked up that the manufacturer lists the device."""

    kind: EquipmentKind
    name: Word
    details: Text = ""
    validated: dict[Word, Day] = Field(default_factory=dict)


class EquipmentChange(EquipmentBody):
    version: int


class RequirementBody(In):
    """What the manufacturer asks for before programming; `place`: battery, cabin or computer."""

    make: Word
    place: Word
    text: Text
    module: Word = ""
    unit: Word = ""
    source_line: Text = ""
    operating_system: Word = ""


class RequirementOut(Out):
    """`reads`: the windows read in the text, in words; what is measured is held against them."""

    id: int
    content: RequirementDraft
    reads: list[str]


class EquipmentCostBody(In):
    """What a piece cost and how many years it serves; both null where nobody says."""

    price: Money | None = None
    years: int | None = None


class EquipmentCostOut(Out):
    """`a_year`: its share of a year, null where the price or the years are not entered."""

    price: float | None
    years: int | None
    a_year: float | None


class EquipmentVersionBody(In):
    """What runs on a piece since a day: firmware, driver or both."""

    firmware: Word = ""
    driver: Word = ""
    since: Day


class UpkeepOut(Out):
    """A piece by its id, with its cost and its versions, newest first."""

    equipment: int
    name: str
    cost: EquipmentCostOut
    versions: list[VersionView]


def cost_out(cost: EquipmentCost, currency: str) -> EquipmentCostOut:
    money = {"price_minor": cost.price_minor, "a_year_minor": cost.a_year_minor}
    return EquipmentCostOut(**in_whole_units(money, currency), years=cost.years)


def upkeep_out(one: Upkeep, currency: str) -> UpkeepOut:
    piece, cost = one.piece, cost_out(one.cost, currency)
    return UpkeepOut(equipment=piece.id, name=piece.content.name, cost=cost, versions=list(one.versions))
