"""What somebody typed into a form, kept whole until it is saved."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Any, TypeVar

from starlette.datastructures import UploadFile
from starlette.requests import Request

from api.middleware import JSON_BYTES
from api.typed.days import day_written
from api.what_was_sent import FORM_KEY, hash_of_form
from kb.errors import BadInput
from kb.nouns.currency import decimals, to_minor
from kb.nouns.typed_numbers import without_commas

TYPED = "typed_form"
"""Where a request keeps its form once it is read: the page of a fault cannot read it again."""

Choice = TypeVar("Choice", bound=StrEnum)
_FORM_KINDS = ("application/x-www-form-urlencoded", "multipart/form-data")
_MOST_FIELDS = 2000
_LONGEST_AMOUNT = 10
"""Digits before the point of any money: each amount has limits of its own, all of them below."""
_LONGEST_PART = 64 * 1024 * 1024  # a pasted bulletin or an import file, not an attack


MILES, MINUTES = r"mi\.?|miles?", r"min\.?|minutes?"
"""Units as patterns, where people write them behind the number."""
SECRETS = frozenset(
    {"password", "old_password", "password_for_pin", "password_for_sessions", "pin", "pin_again", "signature"}
)
"""Fields whose text no page shows again, whatever becomes of the form."""


@dataclass(frozen=True, slots=True)
class TypedForm:
    """The fields as typed. Readers raise BadInput that names the field, in words that say what to do."""

    values: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    files: Mapping[str, tuple[UploadFile, ...]] = field(default_factory=dict)
    content: str = ""
    """A hash of all of it, by which the same form is known again; only where it has a key (`FORM_KEY`)."""

    def __bool__(self) -> bool:
        return bool(self.values) or bool(self.files)

    def raw(self, name: str, default: str = "") -> str:
        """Exactly as typed, blanks included (passwords, exact entries)."""
        found = self.values.get(name)
        return found[-1] if found else default

    def file(self, name: str) -> UploadFile | None:
        """The one file that was chosen; the last of several."""
        return self.files[name][-1] if name in self.files else None

    def text(self, name: str, default: str = "") -> str:
        return self.raw(name, default).replace("\r\n", "\n").strip()

    def texts(self, *names: str) -> dict[str, Any]:
        """Several texts by name, as the fields of a draft."""
        return {name: self.text(name) for name in names}

    def all(self, name: str) -> tuple[str, ...]:
        return tuple(value.strip() for value in self.values.get(name, ()) if value.strip())

    def lines(self, name: str) -> tuple[str, ...]:
        """One entry a line, blank lines dropped."""
        return tuple(line.strip() for line in self.text(name).split("\n") if line.strip())

    def ticked(self, name: str) -> bool:
        return self.text(name) in {"yes", "on", "true", "1"}

    def whole(self, name: str, what: str = "number", unit: str = "") -> int | None:
        """A whole number, thousands commas allowed, and behind it the `unit` (a pattern) that the field has;
        None when left empty.
        """
        said = re.sub(rf"(?<=\d)(?:{unit})$", "", self.text(name).replace(" ", ""), flags=re.I)
        typed = without_commas(said, name) if re.fullmatch(r"[-0-9,.]*", said) else said
        if not typed:
            return None
        if not re.fullmatch(r"-?[0-9]{1,12}", typed):
            raise BadInput(f"The {what} must be a whole number.", fields={name: "a whole number"})
        return int(typed)

    def number(self, name: str, what: str = "number") -> float | None:
        """A decimal number; None when left empty."""
        typed = without_commas(self.text(name), name)
        if not typed:
            return None
        if not re.fullmatch(r"-?[0-9]{0,12}(\.[0-9]{0,9})?", typed) or typed in {"-", ".", "-."}:
            raise BadInput(f"The {what} must be a number.", fields={name: "a number"})
        return float(typed)

    def minor(self, name: str, currency: str, what: str = "amount") -> int | None:
        """Money as typed ("$1,250.50") in minor units; None when left empty. Nothing is rounded."""
        typed = without_commas(re.sub(r"[$€£¥\s]", "", self.text(name)), name)
        if not typed:
            return None
        found = re.fullmatch(r"-?0*([0-9]+)(?:\.([0-9]*))?", typed)
        if not found:
            raise BadInput(f"The {what} must be money, like 180 or 180.50.", fields={name: "like 180.50"})
        if len(found[1]) > _LONGEST_AMOUNT:
            raise BadInput(f"The {what} is too high: is there a digit too many?", fields={name: "too high"})
        places = decimals(currency)
        if len((found[2] or "").rstrip("0")) > places:
            most = f"at most {places} digits after the point" if places else "no digits after the point"
            raise BadInput(f"The {what} takes {most}.", fields={name: most})
        return to_minor(Decimal(typed), currency)

    def day(self, name: str, what: str = "day", *, ahead: bool = False) -> date | None:
        """A date from a date field (2026-10-31); None when left empty. `ahead`: it lies ahead by nature."""
        typed = self.text(name)
        if not typed:
            return None
        try:
            return day_written(typed, name, ahead=ahead)
        except ValueError:
            raise BadInput(
                f"The {what} must be a date, like 2026-10-31.", fields={name: "like 2026-10-31"}
            ) from None

    def one_of(self, name: str, kind: type[Choice], otherwise: Choice) -> Choice:
        """One of a few values; `otherwise` when left empty."""
        if not self.text(name):
            return otherwise
        return self.must_be_one_of(name, kind, "That choice is not known here; tap one.")

    def must_be_one_of(self, name: str, kind: type[Choice], what: str) -> Choice:
        """One of a few values; `what` is the sentence for anything else, nothing included."""
        try:
            return kind(self.text(name))
        except ValueError:
            raise BadInput(what, fields={name: "tap one"}) from None

    def must_text(self, name: str, what: str) -> str:
        typed = self.text(name)
        if not typed:
            raise BadInput(f"Please fill in the {what}.", fields={name: "please fill this in"})
        return typed

    def must_whole(self, name: str, what: str) -> int:
        number = self.whole(name, what)
        if number is None:
            raise BadInput(f"Please fill in the {what}.", fields={name: "please fill this in"})
        return number

    def must_minor(self, name: str, currency: str, what: str) -> int:
        """Money in minor units. An empty field is no 0: what is given free is typed as 0."""
        minor = self.minor(name, currency, what)
        if minor is None:
            raise BadInput(f"Please fill in the {what}.", fields={name: "please fill this in"})
        return minor

    def must_day(self, name: str, what: str, *, ahead: bool = False) -> date:
        typed = self.day(name, what, ahead=ahead)
        if typed is None:
            raise BadInput(f"Please fill in the {what}.", fields={name: "please fill this in"})
        return typed

    def worth_keeping(self) -> tuple[tuple[str, str], ...]:
        """What must not be lost when the form cannot be saved: names and texts, without secrets."""
        left_out = SECRETS | {"form_token", "next", "version", FORM_KEY}
        return tuple(
            (name.replace("_", " "), text)
            for name, texts in self.values.items()
            for text in texts
            if name not in left_out and text.strip()
        )


NOTHING_TYPED = TypedForm()


async def form_of(request: Request) -> TypedForm:
    """The posted form, or an empty one for a plain read, and for a stranger's of more than 2 MB. It is read
    once, however often it is asked for.
    """
    if TYPED not in request.scope:
        request.scope[TYPED] = await _read(request)
    typed: TypedForm = request.scope[TYPED]
    return typed


async def _read(request: Request) -> TypedForm:
    kind = request.headers.get("content-type", "").split(";")[0].strip().lower()
    if request.method != "POST" or kind not in _FORM_KINDS or _is_much_of_a_stranger(request):
        return NOTHING_TYPED
    data = await request.form(max_fields=_MOST_FIELDS, max_part_size=_LONGEST_PART)
    values: dict[str, list[str]] = {}
    files: dict[str, list[UploadFile]] = {}
    for name, value in data.multi_items():
        if isinstance(value, UploadFile):
            if value.filename:
                files.setdefault(name, []).append(value)
        else:
            values.setdefault(name, []).append(value)
    return TypedForm(
        {name: tuple(texts) for name, texts in values.items()},
        {name: tuple(sent) for name, sent in files.items()},
    )


def _is_much_of_a_stranger(request: Request) -> bool:
    is_known = getattr(request.state, "visitor", None) is not None
    return not is_known and int(request.headers.get("content-length", JSON_BYTES + 1)) > JSON_BYTES


async def form_and_files(request: Request) -> AsyncIterator[TypedForm]:
    """The same for as long as the answer is made; uploaded files are closed after it."""
    try:
        typed = await form_of(request)
        yield (
            replace(typed, content=await hash_of_form(await request.form())) if typed.raw(FORM_KEY) else typed
        )
    finally:
        await request.close()
