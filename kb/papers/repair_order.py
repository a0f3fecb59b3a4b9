"""The lines of a repair order: concern, cause and correction, as they are on file, and nothing else.

What a repair order must have and nobody wrote down is said so; what else is not on file is left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Protocol

from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.measures import plain_number
from kb.nouns.bay.on_file import Programmed
from kb.nouns.bay.readings import Compared
from kb.nouns.bay.release import Release, ReleaseItem
from kb.nouns.chance_words import counted
from kb.nouns.concerns import Duplicated, Ending, FindingResult
from kb.nouns.days import day_words
from kb.nouns.recorded_words import TwoWords, in_words, result_word
from kb.nouns.shop.ways import Way
from kb.nouns.starting_prep import BATTERY_RESTED, INSPECTION, SUPPORT_VOLTAGE
from kb.papers.customer_word import answer_said
from kb.papers.plain_text import PaperLine, PaperPart
from kb.papers.shop_words import ShopWords

NOT_RECORDED = "not recorded"


class FoundHere(TwoWords, Protocol):
    """A check as it was answered on the concern; `limit` is the one that decided a measured number."""

    @property
    def name(self) -> str: ...
    @property
    def result(self) -> FindingResult | None: ...
    @property
    def number(self) -> float | None: ...
    @property
    def unit(self) -> str: ...
    @property
    def limit(self) -> str: ...


def repair_order(
    file: ConcernFile,
    release: Release,
    found: Iterable[FoundHere],
    compared: Iterable[Compared],
    counted_as: str,
    words: ShopWords,
) -> tuple[PaperPart, ...]:
    """The parts in the order in which a repair order has them; one without lines is left out.

    `compared`: each module that something was installed in, by its IDs before and after. `counted_as`: what
    one that was closed as cured by its reflash counts as today; else empty.
    """
    parts: tuple[tuple[str, Iterable[tuple[str, str]]], ...] = (
        (file.ref, _vehicle(file)),
        ("Concern", _concern(file)),
        ("Cause", _cause(file, found)),
        ("Correction", (*_programmed(file, compared, words), *_correction(file, release, counted_as, words))),
        ("Customer's OK", _agreed(file, words)),
    )
    shown = ((heading, tuple(PaperLine(*line) for line in lines)) for heading, lines in parts)
    return tuple(PaperPart(heading, lines) for heading, lines in shown if lines)


def finding_said(one: FoundHere) -> str:
    """Such as "LEAKS", or "HIGH, 14 % (limit: 10 %)"."""
    word = result_word(one, one.result)
    if one.number is None:
        return word
    return f"{word}, {plain_number(one.number)} {one.unit}" + (f" (limit: {one.limit})" if one.limit else "")


def _vehicle(file: ConcernFile) -> Iterator[tuple[str, str]]:
    yield "Vehicle", file.vehicle.name or NOT_RECORDED
    yield "VIN", file.vehicle.vin or NOT_RECORDED
    yield "Odometer", NOT_RECORDED if file.odometer is None else f"{counted(file.odometer)} mi"


def _concern(file: ConcernFile) -> Iterator[tuple[str, str]]:
    yield "Customer states", file.complaint
    if file.technician_words:
        yield "Technician", file.technician_words
    seen = [one.duplicated_before for one in file.reflashes if one.duplicated_before]
    if seen:  # a failure is written down without it, so one that was tried speaks for the visit
        tried = [one for one in seen if one != Duplicated.NOT_TRIED] or seen
        yield "Before the work", in_words(tried[0], "duplicated")
    codes = [" ".join(filter(None, (one.code, one.module))) for one in file.codes]
    yield "Codes", ", ".join(codes) or in_words(file.codes_scanned, "scanned")


def _cause(file: ConcernFile, found: Iterable[FoundHere]) -> Iterator[tuple[str, str]]:
    for one in found:
        if one.result:
            yield one.name, finding_said(one)
    for tick in file.ticks:
        if tick.item.startswith(INSPECTION) and tick.measured:
            yield "Inspection found", tick.measured
    done = [one for one in file.installed if one.update_number]
    if file.other_cause:
        yield "Found", file.other_cause
    elif file.ending == Ending.CURED_BY_REFLASH.value and done:
        yield "By bulletin", done[-1].update_number
    else:
        yield "Cause", NOT_RECORDED


def _correction(
    file: ConcernFile, release: Release, counted_as: str, words: ShopWords
) -> Iterator[tuple[str, str]]:
    if release.begun:
        yield from _with_the_programming(file, release, words)
    if file.ending:
        closed = f"{day_words(file.closed_on)}, " if file.closed_on else ""
        yield "Closed", closed + (counted_as or in_words(file.ending, "ending"))
    elif not file.reflashes:
        yield "Correction", NOT_RECORDED


def _programmed(
    file: ConcernFile, compared: Iterable[Compared], words: ShopWords
) -> Iterator[tuple[str, str]]:
    """What was done to each module, and what its IDs and CVNs came to after it was last installed in."""
    for one in file.reflashes:
        yield from _sitting(one, words)
    for module in compared:
        yield from _ids(module)


def _sitting(one: Programmed, words: ShopWords) -> Iterator[tuple[str, str]]:
    bulletin = f"bulletin {one.update_number}" if one.update_number else ""
    by = f"by {words.person(one.technician)}" if one.technician else ""
    by = by if one.way is Way.HERE else in_words(one.way, "way")
    said = (day_words(one.performed_on), in_words(one.result, "result"), bulletin, by)
    yield one.module, ", ".join(filter(None, said))
    if one.error_text:
        yield f"{one.module} error", one.error_text
    if one.other_work:
        yield "Also done", ", ".join(one.other_work)


def _ids(one: Compared) -> Iterator[tuple[str, str]]:
    for when, shown in (("before", one.before), ("after", one.after)):
        ids = [f"{it.calibration_id} CVN {it.cvn}" if it.cvn else it.calibration_id for it in shown]
        yield f"{one.module} ID {when}", ", ".join(ids) or NOT_RECORDED
    yield f"{one.module} reads", one.words


def _with_the_programming(file: ConcernFile, release: Release, words: ShopWords) -> Iterator[tuple[str, str]]:
    volts, here = _measured(file, SUPPORT_VOLTAGE, "V"), any(one.way is Way.HERE for one in file.reflashes)
    if volts or here or not file.reflashes:
        yield "Support voltage", volts or NOT_RECORDED
    if rested := _measured(file, BATTERY_RESTED, "V"):
        yield "Battery at rest", rested
    for item in release.items:
        if item.by:
            yield "Done", _settled(item, words)
        elif item.relearn:
            yield "Relearn", f"{item.relearn.rstrip('.')}: {NOT_RECORDED}"
    yield release.cameras.text, _cameras(release.cameras) or NOT_RECORDED
    if file.installed:
        yield "Road test", in_words(file.installed[-1].road_test, "road_test")
    if gone := release.released:
        left = f" with lines open ({gone.open_then}): {gone.reason}; the customer is told"
        by = f"{words.moment(gone.at)} by {words.person(gone.by)}"
        yield "Released", by + (left if gone.reason else "")


def _measured(file: ConcernFile, key: str, unit: str) -> str:
    value = next((one.measured for one in file.ticks if one.item == key and one.measured), "")
    return f"{value} {unit}" if value else ""


def _settled(item: ReleaseItem, words: ShopWords) -> str:
    said = [f"{name} {one}" for name, one in item.said.items() if one]
    return ", ".join((item.text.rstrip("."), *said, words.person(item.by)))


def _cameras(item: ReleaseItem) -> str:
    answer = in_words(item.answer, "cameras") if item.answer else ""
    return ", ".join(filter(None, (answer, *item.said.values())))


def _agreed(file: ConcernFile, words: ShopWords) -> Iterator[tuple[str, str]]:
    for one in file.authorizations:
        yield words.moment(one.at), answer_said(one, words)
        if not one.declined:
            yield "If not cured", in_words(one.if_not_cured, "if_not_cured")
