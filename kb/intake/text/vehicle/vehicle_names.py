"""Makes and models that a paper names, found by the names on file and those that everybody knows.

A name that is a word too ("NOTE", "Soul") counts only where the paper speaks of vehicles: beside a year, a
make, another model, or under a heading of vehicles.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence

from kb.intake.text.paper.headings import Part
from kb.intake.text.paper.layout import Paper
from kb.intake.text.vehicle.names import Named
from kb.intake.text.vehicle.unknown_names import unknown_names
from kb.nouns.model_years import LATEST_YEAR
from kb.vehicle.called import Names, make_at, model_at
from kb.vehicle.families import fold
from kb.vehicle.makes import known_makes
from kb.vehicle.written import Written, written_in

_COMPANY = frozenset(
    ("motor", "motors", "automobile", "technical", "service", "america", "dealers", "dealer")
)
_NEAR = 48
MOST_MAKES = 4
"""Makes whose models are looked for; a paper that names more is a list of all."""
_OF_VEHICLES = frozenset((Part.VEHICLES, Part.MODEL, Part.TITLE, Part.MAKE))
_VARIANT = re.compile(
    r"(?:[ -](?:Plug-?in Hybrid|Hybrid|PHEV|HEV|MHEV|EV|BEV"
    r"|Electric(?! (?:vehicle|power|parking|motor|control|pump|oil))|Plug-?in|Recharge|Fuel Cell))(?![\w-])",
    re.IGNORECASE,
)
_PART_OF_NUMBER = re.compile(r"[-_.]\w*\d|-[A-Z]{2}\b")
_NAMES_ONLY = frozenset((Part.VEHICLES, Part.MODEL))
_WORD = r" (?!MY|Vehicles?\b|Models?\b|With\b|And\b|Or\b|From\b)[A-Z][A-Za-z]*"
_MORE = re.compile(rf"(?:{_WORD}){{1,2}}(?=\s*(?:[,;|(/\n]|$|'?\d\d|MY|  |and\b))")
_MORE_VEHICLES = re.compile(rf"(?:{_WORD}){{1,2}}(?= (?:vehicles|models|trucks)\b| '?\d\d\b(?!\d))")
"""A variant that is not on file, where names end with it."""
_BEHIND = re.compile(
    r"\s*(?:\([^)]{1,24}\)\s*)?(?:\w+\s+)?(?:vehicles?|models?|trucks?|cars?|sedans?|MY\b|model\s+years?|owners?|"
    r"(?:19|20)\d\d\b)",
    re.IGNORECASE,
)
_AHEAD = re.compile(
    r"(?:(?:19|20)\d\d|\b\d\d)\s*(?:MY|model\s+years?|M\.?Y\.?)?\s*\)?[\s,:]*(?:\w+\s+)?$|\bmodel\s+years?\s+$"
    r"|\b(?:certain|some|all|the|subject|affected)\s+$",
    re.IGNORECASE,
)
_YEARS_AHEAD = re.compile(r"(?:19|20)\d\d(?:\s*MY)?\s+$")
_JOINS = re.compile(
    r"\s*(?:\([^)]{1,24}\))?\s*(?:,|/|&|and|or|;|,\s*and)\s*(?:certain\s+|some\s+|all\s+)?", re.IGNORECASE
)


def names_in(paper: Paper, names: Names) -> tuple[Named, ...]:
    """Every make and model that a paper names, in its order."""
    said = written_in(paper.flat, LATEST_YEAR)
    makes = list(_makes(paper, said, names))
    counted = Counter(one.make for one in makes)
    wanted = [make for make, _ in counted.most_common(MOST_MAKES)]
    taken = {at for one in makes for at in range(one.begins, one.ends)}
    models = _told(paper, list(_models(paper, said, wanted, names, taken)), makes, names)
    inside = {at for one in models for at in range(one.begins, one.ends)}
    models = _of_one_make(models) if not makes else models
    kept = (one for one in makes if one.begins not in inside)
    known = (*kept, *models)
    return tuple(sorted(_told_apart((*known, *unknown_names(paper, known))), key=lambda one: one.begins))


def _told_apart(found: Sequence[Named]) -> Iterator[Named]:
    """Without models that are called as a make of the paper: of these the line tells the make alone."""
    makes = {fold(one.name) for one in found if not one.is_model}
    return (one for one in found if not (one.is_model and fold(one.name) in makes))


def _makes(paper: Paper, said: Sequence[Written], names: Names) -> Iterator[Named]:
    known, at = known_makes(), 0
    while at < len(said):
        word = said[at]
        made = None
        if _is_name(paper, word) and (known.may_begin(word.text) or names.may_begin(word.text)):
            made = make_at(said, at, names)
        alone = made and _stands_alone(paper, word.begins, said[made.last - 1].ends)
        if made and (alone or _certain(said, at, made.make, made.certain, made.last, names)):
            yield Named(made.make, word.begins, said[made.last - 1].ends, fold(made.make), is_model=False)
            at = made.last
        else:
            at += 1


def _stands_alone(paper: Paper, begins: int, ends: int) -> bool:
    """Whether a name fills a cell between bars."""
    return bool(
        re.search(r"\|\s*\Z", paper.flat[max(0, begins - 4) : begins])
        and re.match(r"\s*\|", paper.flat[ends : ends + 4])
    )


def _certain(said: Sequence[Written], at: int, make: str, certain: bool, last: int, names: Names) -> bool:
    """Whether the words are the name of a make: it speaks for itself, or one of its models stands behind."""
    folded = "".join(one.text for one in said[at:last])
    if certain:
        return True
    if fold(make) != fold(folded):
        return False
    if last < len(said) and said[last].text in _COMPANY:
        return True
    behind = last < len(said) and model_at(said, last, fold(make), names) is not None
    return behind or (not names.is_word(folded) and bool(names.make_called(folded)))


def _models(
    paper: Paper, said: Sequence[Written], makes: Sequence[str], names: Names, taken: set[int]
) -> Iterator[Named]:
    at = 0
    while at < len(said):
        found = None
        if said[at].begins not in taken and _is_name(paper, said[at]) and names.may_begin(said[at].text):
            found = _model(paper, said, at, makes, names)
        if found:
            yield found[0]
            at = found[1]
        else:
            at += 1


def _model(
    paper: Paper, said: Sequence[Written], at: int, makes: Sequence[str], names: Names
) -> tuple[Named, int] | None:
    """The longest name of a model of one of the makes that begins at a word, and the word behind it."""
    best: tuple[Named, int] | None = None
    for make in makes or ("",):
        model = model_at(said, at, make, names)
        if model is None:
            continue
        begins, last = said[at].begins, min(model.ends, len(said))
        ends = said[last - 1].ends
        words = fold("".join(one.text for one in said[at:last]))
        if not names.models_called(make, words) or "\n" in paper.flat[begins:ends]:
            continue
        if _PART_OF_NUMBER.match(paper.flat, ends) or paper.flat[begins - 1 : begins] in tuple("-_."):
            continue
        more = _VARIANT.match(paper.flat, ends)
        ends = more.end() if more else ends
        more = (_MORE if _is_headed(paper, begins) else _MORE_VEHICLES).match(paper.flat, ends)
        ends = more.end() if more else ends
        name = " ".join(paper.text[begins:ends].split())
        if best is None or ends > best[0].ends:
            last = next((n for n in range(last, len(said)) if said[n].begins >= ends), len(said))
            best = Named(name, begins, ends, make or _only(model.makes), is_model=True), last
    return best


def _is_headed(paper: Paper, place: int) -> bool:
    """Whether a name stands under a heading of vehicles, or in a table or list of them."""
    line = paper.line_at(place)
    return paper.part_at(place).part in _NAMES_ONLY or "|" in paper.text[line.begins : line.ends]


def _only(makes: Sequence[str]) -> str:
    different = {fold(make) for make in makes}
    return different.pop() if len(different) == 1 else ""


def _told(paper: Paper, models: list[Named], makes: Sequence[Named], names: Names) -> list[Named]:
    """The models that the paper means as vehicles; names beside one that is sure are sure too."""
    ends_of_makes = {one.ends for one in makes}
    sure = [_is_sure(paper, one, ends_of_makes, names) for one in models]
    for n in (*range(1, len(models)), *range(len(models) - 1, 0, -1)):
        one, other = models[n - 1], models[n]
        if sure[n] != sure[n - 1] and joined(paper, one, other):
            sure[n] = sure[n - 1] = True
    meant = {fold(one.name) for one, known in zip(models, sure, strict=True) if known}
    return [
        one
        for one, known in zip(models, sure, strict=True)
        if known or (fold(one.name) in meant and not names.is_word(fold(one.name)))
    ]


def joined(paper: Paper, one: Named, other: Named) -> bool:
    """Whether nothing but a comma or an "and" stands between two names."""
    near = other.begins - one.ends <= _NEAR
    return near and _JOINS.fullmatch(paper.flat, one.ends, other.begins) is not None


def _of_one_make(models: list[Named]) -> list[Named]:
    """Where a paper names no make, its models are of one: what sounds like another make's is a word."""
    counted = Counter(one.make for one in models if one.make)
    most = counted.most_common(1)[0][0] if counted else ""
    return [one for one in models if one.make in ("", most)]


def _is_sure(paper: Paper, one: Named, ends_of_makes: set[int], names: Names) -> bool:
    flat, name = paper.flat, fold(one.name)
    right_before = (one.begins - blanks for blanks in range(3))
    if any(end in ends_of_makes and not flat[end : one.begins].strip() for end in right_before):
        return True
    ahead = flat[max(0, one.begins - 40) : one.begins]
    beside = bool(_AHEAD.search(ahead) or _BEHIND.match(flat, one.ends))
    if flat[one.begins - 1 : one.begins] + flat[one.ends : one.ends + 1] == "()":
        return False
    if name.isdigit() or len(name) < 2:
        return not name.isdigit() and _YEARS_AHEAD.search(ahead) is not None
    if paper.part_at(one.begins).part in _OF_VEHICLES:
        return True
    return beside or (bool(ends_of_makes) and not (names.is_word(name) or len(name) < 3))


def _is_name(paper: Paper, word: Written) -> bool:
    """Whether a word is printed as names are: with a capital or a figure (a text all in small letters:
    any).
    """
    letter = paper.text[word.begins]
    return letter.isupper() or letter.isdigit() or not paper.has_capitals
