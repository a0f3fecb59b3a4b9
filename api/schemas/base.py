"""What every body has in common: unknown fields and endless numbers are refused, texts can be stored."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints


def _storable(text: str) -> str:
    if "\x00" in text:
        raise ValueError("a text cannot hold the NUL character")
    return text


Word = Annotated[str, StringConstraints(max_length=200), AfterValidator(_storable)]
"""A name, number or code: up to 200 characters."""

Text = Annotated[str, StringConstraints(max_length=20_000), AfterValidator(_storable)]
"""Somebody's words: up to 20,000 characters."""

LongText = Annotated[str, StringConstraints(max_length=500_000), AfterValidator(_storable)]
"""A whole document."""

IdIn = Annotated[int, Field(ge=1, le=2**31 - 1)]
Money = Annotated[float, Field(ge=0, lt=1e7)]
"""An amount in the shop's currency, whole units with decimals."""

Whole = Annotated[int, Field(ge=0, le=10_000_000)]


class In(BaseModel):
    """A body that comes in."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)


class Out(BaseModel):
    """A body that goes out; takes the desk's frozen values as they are."""

    model_config = ConfigDict(from_attributes=True)


class ErrorInside(BaseModel):
    code: str
    message: str
    fields: dict[str, str] | None = None
    details: dict[str, Any] | None = None


class ErrorOut(BaseModel):
    """The one shape of every error."""

    error: ErrorInside
