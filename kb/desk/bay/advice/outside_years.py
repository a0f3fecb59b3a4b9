"""Notes about a concern and for its model, whose years leave the vehicle out: said, never hidden."""

from __future__ import annotations

from dataclasses import replace

from kb.desk.bay.advice.concern_words import said_of
from kb.desk.bay.advice.follows_from_words import remembered
from kb.desk.bay.advice.update_names import names_of
from kb.desk.bay.search import families, search
from kb.desk.context import Desk
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.model_years import format_years, known_ranges, known_year, ranges_of
from kb.nouns.vehicles import Applies, Coverage, Vehicle
from kb.records.store.notes import updates as store
from kb.vehicle.coverage import applies_to_recorded
from kb.vehicle.families import Families

_LOOKED_AT, _SAID = 10, 2


def left_out_by_year(desk: Desk, file: ConcernFile) -> tuple[str, ...]:
    """One sentence for each of the best few."""
    return remembered(desk, file, "left out by year", lambda: _sentences(desk, file))


def _sentences(desk: Desk, file: ConcernFile) -> tuple[str, ...]:
    vehicle, said = file.vehicle, said_of(file)
    if known_year(vehicle.year) is None or not (vehicle.make.strip() and vehicle.model.strip()):
        return ()
    any_year = replace(vehicle, year=None)
    hits = search.matching_notes(desk, said.text, said.codes, any_year, _LOOKED_AT)
    ids = [hit.id for hit in hits if hit.about]
    coverage = store.coverage(desk.session, ids)
    names, known = names_of(desk, ids), families.in_force(desk)
    told = (_sentence(names[one], coverage.get(one, ()), vehicle, known) for one in ids if one in names)
    return tuple(filter(None, told))[:_SAID]


def _sentence(named: tuple[str, str], coverage: Coverage, vehicle: Vehicle, known: Families) -> str:
    """Empty where the note may be for the vehicle, or where another thing than its year leaves it out."""
    if applies_to_recorded(coverage, vehicle, known).applies is not Applies.NO:
        return ""
    any_year = replace(vehicle, year=None)
    of_model = [
        line for line in coverage if applies_to_recorded((line,), any_year, known).applies is not Applies.NO
    ]
    years = {year for line in of_model for a, b in known_ranges(line.years) for year in range(a, b + 1)}
    if not years:
        return ""
    name = named[0] or named[1]
    if min(years) < (vehicle.year or 0) < max(years):
        return f"{name} is about this, and it skips {vehicle.year}."
    return f"{name} is about this and is for {format_years(ranges_of(years))}, not for {vehicle.year}."
