"""Which of the years, engines and build dates of a paper belong to which of its models."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from kb.intake.text.paper.layout import Paper
from kb.intake.text.proposal import Field, Proposal
from kb.intake.text.vehicle.names import Named
from kb.intake.text.vehicle.vehicle_names import joined
from kb.intake.text.vehicle.years import YearsRead
from kb.nouns.model_years import ranges_of
from kb.nouns.vehicles import CoverageLine
from kb.vehicle.called import Names
from kb.vehicle.families import fold

_AHEAD, _BEHIND, _MOST_BESIDE = 64, 40, 6
_STOPS = re.compile(r"[.;\n](?!\d)")


@dataclass(frozen=True, slots=True)
class VehicleRead:
    """A line of coverage and the place of its model (or of its make) in the text."""

    line: CoverageLine
    begins: int
    ends: int


def vehicles_in(
    paper: Paper, named: Sequence[Named], years: Sequence[YearsRead], more: Sequence[Proposal], names: Names
) -> tuple[VehicleRead, ...]:
    """A line for each model (for each make, where no model is named), with what the paper says of it."""
    models = [one for one in named if one.is_model]
    makes = {one.make: one.name for one in named if not one.is_model}
    told = list(_with_years(paper, models, years)) if models else [(one, ()) for one in named]
    everything = sorted({year for one in years for year in one.years})
    lines: dict[tuple[str, str], tuple[Named, set[int]]] = {}
    for one, of_model in told:
        key = (one.make, fold(one.name) if one.is_model else "")
        lines.setdefault(key, (one, set()))[1].update(of_model)
    if not any(found for _, found in lines.values()):
        lines = {key: (one, set(everything)) for key, (one, _) in lines.items()}
    return tuple(
        VehicleRead(_line(one, found, makes, more, names, alone=len(lines) == 1), one.begins, one.ends)
        for one, found in lines.values()
    )


def _with_years(
    paper: Paper, models: Sequence[Named], years: Sequence[YearsRead]
) -> Iterator[tuple[Named, tuple[int, ...]]]:
    """Each model with the years right before it, else behind it, else those of its list."""
    found: list[tuple[int, ...]] = []
    for n, one in enumerate(models):
        since = max(models[n - 1].ends if n else 0, one.begins - _AHEAD)
        until = min(models[n + 1].begins if n + 1 < len(models) else len(paper.flat), one.ends + _BEHIND)
        ahead = [
            y for y in _inside(years, since, one.begins) if not _STOPS.search(paper.flat, y.ends, one.begins)
        ]
        behind = [
            y for y in _inside(years, one.ends, until) if not _STOPS.search(paper.flat, one.ends, y.begins)
        ]
        own = tuple(year for y in (ahead or behind) for year in y.years)
        if not own and n and joined(paper, models[n - 1], one):
            own = found[-1]
        found.append(own)
    for n in range(len(models) - 2, -1, -1):
        if not found[n] and joined(paper, models[n], models[n + 1]):
            found[n] = found[n + 1]
    return zip(models, found, strict=True)


def _inside(years: Sequence[YearsRead], begins: int, ends: int) -> Sequence[YearsRead]:
    """Those that stand between two places."""
    first = bisect_left(years, begins, key=lambda one: one.begins)
    return [one for one in years[first : first + _MOST_BESIDE] if one.ends <= ends]


def _line(
    one: Named, years: set[int], makes: dict[str, str], more: Sequence[Proposal], names: Names, *, alone: bool
) -> CoverageLine:
    make = makes.get(one.make) or names.make_called(one.make) or (one.name if not one.is_model else "")
    line = CoverageLine(make, one.name if one.is_model else "", ranges_of(years))
    first, last = (_only(more, field, one, alone) for field in (Field.BUILT_FROM, Field.BUILT_TO))
    return replace(
        line,
        engine=_only(more, Field.ENGINE, one, alone),
        built_from=date.fromisoformat(first) if first else None,
        built_to=date.fromisoformat(last) if last else None,
    )


def _only(more: Sequence[Proposal], field: Field, one: Named, alone: bool) -> str:
    """The value of a field that holds for a vehicle: the only one of the paper, or the one told right
    behind it.
    """
    told = [p for p in more if p.field is field]
    if len({p.value for p in told}) == 1:
        return told[0].value
    near = [p for p in told if one.ends <= p.begins <= one.ends + 110]
    return near[0].value if near and not alone else ""
