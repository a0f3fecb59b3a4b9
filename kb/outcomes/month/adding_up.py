"""What the entries of a month come to: sums by make and way, failures by piece, what was turned away."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import fields

from kb.nouns.concerns import INSTALLED, UNFINISHED, ReflashResult
from kb.nouns.review.month import Entry, Figures, Missing, MonthLine, PieceLine, TurnedAway, What
from kb.nouns.shop.ways import Way
from kb.outcomes.month.luck import luck_of_shares

RECOVERED_LATER = "recovered_later"
_DONE = {*INSTALLED, RECOVERED_LATER}
_FAILED = {*UNFINISHED, ReflashResult.RECOVERED}
_TRIED = {*_FAILED, ReflashResult.COMPLETED}
_STANDS = {
    "cured": "cured",
    "failed_at_road_test": "not_cured_at_road_test",
    "comeback": "comebacks",
    "other_cause": "comebacks",
    "in_window": "waiting",
    "overdue": "waiting",
}
MOST_LINES = 12


def figures(entries: Iterable[Entry]) -> Figures:
    found: Counter[str] = Counter()
    for one in entries:
        found.update(_COUNTS[one.what](one))
    return Figures(**found)


def by_make_and_way(entries: Iterable[Entry], most: int = MOST_LINES) -> tuple[MonthLine, ...]:
    """The most sittings first; beyond `most` the others are added up in a last line."""
    apart: dict[tuple[str, str], list[Entry]] = defaultdict(list)
    for one in entries:
        apart[one.make, one.way].append(one)
    lines = [MonthLine(make, way, figures(some)) for (make, way), some in apart.items()]
    lines.sort(key=lambda one: (-one.figures.sittings, one.make.casefold(), one.way))
    if len(lines) <= most:
        return tuple(lines)
    others = lines[most - 1 :]
    return (*lines[: most - 1], MonthLine("", "", added(one.figures for one in others), len(others)))


def added(some: Iterable[Figures]) -> Figures:
    every = list(some)
    return Figures(**{one.name: sum(getattr(each, one.name) for each in every) for one in fields(Figures)})


def by_piece(month: Sequence[Entry], year: Sequence[Entry]) -> tuple[PieceLine, ...]:
    """Each piece and version of the `year`, whose last part is `month`; those that failed most first."""
    now, then = _tries(month), _tries(year)
    of_kind: Counter[str] = Counter()
    failed_of_kind: Counter[str] = Counter()
    for (kind, *_), (tried, failed) in then.items():
        of_kind[kind] += tried
        failed_of_kind[kind] += failed
    lines = [
        PieceLine(
            *key,
            *now.get(key, (0, 0)),
            tried,
            failed,
            luck_of_shares(failed, tried, failed_of_kind[key[0]] - failed, of_kind[key[0]] - tried),
        )
        for key, (tried, failed) in then.items()
    ]
    return tuple(sorted(lines, key=lambda one: (one.kind, -one.failed_in_year, one.name, one.version)))


def turned_away(entries: Iterable[Entry]) -> tuple[TurnedAway, ...]:
    """The most first."""
    found = Counter((one.make, Missing(one.told)) for one in entries if one.what is What.TURNED_AWAY)
    lines = [TurnedAway(make, missing, count) for (make, missing), count in found.items()]
    return tuple(sorted(lines, key=lambda one: (-one.count, one.make, one.missing)))


def _tries(entries: Iterable[Entry]) -> dict[tuple[str, str, str], tuple[int, int]]:
    """(tried, failed) by kind, name and version; a recovery of a failure that has its own line is no try."""
    found: dict[tuple[str, str, str], tuple[int, int]] = defaultdict(lambda: (0, 0))
    for one in entries:
        if one.what is What.MODULE and one.told in _TRIED:
            for piece in one.pieces:
                key = (piece.kind, piece.name, piece.version)
                tried, failed = found[key]
                found[key] = (tried + 1, failed + (one.told in _FAILED))
    return dict(found)


def _sitting(one: Entry) -> dict[str, int]:
    minutes = one.minutes or 0
    unbilled = minutes if one.told == "unbilled" else 0
    missing = int(one.minutes is None and one.way == Way.HERE)
    return {"sittings": 1, "minutes": minutes, "unbilled_minutes": unbilled, "without_minutes": missing}


def _module(one: Entry) -> dict[str, int]:
    return {
        "tried": int(one.told in _TRIED),
        "done": int(one.told in _DONE),
        "failed": int(one.told in _FAILED),
        "recovered": int(one.told in (ReflashResult.RECOVERED.value, RECOVERED_LATER)),
        "nothing_newer": int(one.told == ReflashResult.NOTHING_NEWER.value),
    }


def _cost(one: Entry) -> dict[str, int]:
    borne, back = one.told == "shop", one.of_comeback
    return {
        "cost_minor": one.minor,
        "borne_minor": one.minor * borne,
        "comeback_minor": one.minor * back,
    }


_COUNTS: dict[What, Callable[[Entry], dict[str, int]]] = {
    What.SITTING: _sitting,
    What.MODULE: _module,
    What.REFLASH: lambda one: {_STANDS.get(one.told, "other"): 1},
    What.BILLED: lambda one: {"billed_minor": one.minor},
    What.CREDITED: lambda one: {"credited_minor": one.minor},
    What.COST: _cost,
    What.SUBSCRIPTION: lambda one: {"access_minor": one.minor},
    What.TURNED_AWAY: lambda _: {"turned_away": 1},
}
