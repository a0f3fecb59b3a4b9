"""What every body has in common: unknown fields and endless numbers are refused, texts can be stored."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import fields
from datetime import date, datetime
from functools import cache, partial
from typing import Annotated, Any, Self, TypeVar, cast

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    TypeAdapter,
    ValidationInfo,
    field_validator,
)
from pydantic_core import PydanticCustomError

from api.schemas.money import MINOR, in_whole_units, minor_or_none
from api.typed.days import day_written, this_year
from api.typed.kinds import kind_said, kinds_taken
from kb.errors import BadInput
from kb.nouns.model_years import check_day

Value = TypeVar("Value")


def _day(said: object, *, ahead: bool = False) -> object:
    if isinstance(said, str):
        try:
            return day_written(said, "day", ahead=ahead)
        except BadInput as refused:
            raise _not_taken(refused.message) from None
        except ValueError:
            pass
    raise _not_taken("a day is written like 2026-10-31")


def _moment(said: datetime) -> datetime:
    try:
        check_day(said.date(), this_year(), "moment")
    except BadInput as refused:
        raise _not_taken(refused.message) from None
    return said


MomentIn = Annotated[datetime, AfterValidator(_moment)]
"""A moment of the years 1886 to next year."""

Day = Annotated[date, BeforeValidator(_day)]
"""A day of the years 1886 to next year."""

DayAhead = Annotated[date, BeforeValidator(partial(_day, ahead=True))]
"""A day that lies ahead by nature, and may for ten years."""


def _storable(text: str) -> str:
    if "\x00" in text:
        raise _not_taken("a text cannot hold the NUL character")
    return text


Word = Annotated[str, StringConstraints(max_length=200), AfterValidator(_storable)]
"""A name, number or code: up to 200 characters."""

Text = Annotated[str, StringConstraints(max_length=20_000), AfterValidator(_storable)]
"""Somebody's words: up to 20,000 characters."""

LongText = Annotated[str, StringConstraints(max_length=500_000), AfterValidator(_storable)]
"""A whole document."""

BIGGEST_ID = 2**31 - 1
"""No id is higher: PostgreSQL's integer holds no more."""

IdIn = Annotated[int, Field(ge=1, le=BIGGEST_ID)]
Money = Annotated[float, Field(ge=0, lt=1e7)]
"""An amount in the shop's currency, whole units with decimals."""

Whole = Annotated[int, Field(ge=0, le=10_000_000)]


def _not_taken(why: str) -> PydanticCustomError:
    """A refusal in our own words alone: of a ValueError pydantic tells the kind before them."""
    return PydanticCustomError("not_taken", "{why}", {"why": why})


class In(BaseModel):
    """A body that comes in."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)

    @field_validator("*", mode="before")
    @classmethod
    def _of_its_kind(cls, said: object, told: ValidationInfo) -> object:
        """What is of another kind of JSON than described is not taken for it."""
        annotation = cls.model_fields[told.field_name or ""].annotation
        taken, kind = kinds_taken(cast("Hashable", annotation)), kind_said(said)
        if taken and kind and kind not in taken:
            raise _not_taken(f"takes {' or '.join(sorted(taken))}, not {kind}")
        return said

    def as_value(self, kind: type[Value], currency: str = "", **otherwise: Any) -> Value:
        """The frozen value `kind` of what is said here under the same names; `otherwise` is what is not.

        Money, whole units here, is counted there in the smallest unit of `currency`.
        """
        names = {one.name for one in fields(kind)} - set(otherwise)  # type: ignore[arg-type]  # a dataclass
        priced = {
            name: minor_or_none(getattr(self, name.removesuffix(MINOR)), currency)
            for name in names
            if name.endswith(MINOR)
        }
        said = self.model_dump(include=names) | priced | otherwise
        return cast("Value", _adapter(kind).validate_python(said))  # type: ignore[arg-type]  # hashable


class Out(BaseModel):
    """A body that goes out, where it is not a frozen value as it stands: by money, or by what it holds."""

    model_config = ConfigDict(from_attributes=True)

    @classmethod
    def of(cls, told: object, /, **otherwise: Any) -> Self:
        """From what `told` has under the same names; `otherwise` is what it has not, or not so."""
        same = {name: getattr(told, name) for name in cls.model_fields if name not in otherwise}
        return cls.model_validate(same | otherwise)

    @classmethod
    def of_money(cls, value: object, currency: str) -> Self:
        """From a frozen value that counts money in the smallest unit."""
        return cls.model_validate(in_whole_units(value, currency))


class IdOut(Out):
    """What was written down, by its id."""

    id: int


class ErrorInside(BaseModel):
    code: str
    message: str
    fields: dict[str, str] | None = None
    details: dict[str, Any] | None = None


class ErrorOut(BaseModel):
    """The one shape of every error."""

    error: ErrorInside


@cache
def _adapter(kind: type[Any]) -> TypeAdapter[Any]:
    return TypeAdapter(kind)
