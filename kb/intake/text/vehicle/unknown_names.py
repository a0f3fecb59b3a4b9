"""Makes and models that nobody has on file yet, where a paper's own layout says that they are such.

Under a heading of makes, models or vehicles a name with capitals is one; so is what stands between a known
make with its years in front and the next small word ("2016-2018 Norvane Alto with ...").
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from kb.intake.government.paperwork import PAPERWORK
from kb.intake.places import overlaps
from kb.intake.text.paper.headings import Part, part_headed
from kb.intake.text.paper.layout import Paper
from kb.intake.text.paper.parts import Headed
from kb.intake.text.phrases import phrases
from kb.intake.text.vehicle.name_tables import names_in_tables
from kb.intake.text.vehicle.names import Named
from kb.vehicle.families import fold

_ENTRY = re.compile(r"(?:(?!\band (?:(?:19|20)\d\d\b|[A-Z]+-?\d))[^,;|/\n&()])+")
"""A name may hold an "and"; before a year it begins another vehicle."""
_APART = re.compile(r"\s+(?:and|with|w/|equipped|built|produced|all|from)\b.*", re.IGNORECASE)
_NO_NAME = re.compile(
    r"['\u2019]?\b\d{2}(?:\d{2})?(?:\s*MY)?\s*(?:[-\u2013~]|to|through|thru)\s*['\u2019]?\d{2}(?:\d{2})?\+?(?:\s*MY)?\b"
    r"|\b(?:19|20)\d\d\+?(?:\s*MY)?\b|\b\d\dMY\b|\bMY\s?\d{2,4}\b|\bmodel\s+years?\b|\bMY\b|\b\d\.\d\s?(?:L|T|l)?\b.*"
    r"|\b(?:certain|some|vehicles?|models?|years?|only|all)\b",
    re.IGNORECASE,
)
_NAME = re.compile(r"[A-Z][\w'-]*(?: (?!with\b|and\b)[A-Z0-9][\w'-]*){0,3}")
_NO_MODEL = re.compile(
    r"(?:type|chassis|yes|no|if|check|see|population|quantity|vins?|build|built|rpo|trim|w|equipped|except|excluding|excludes|not|us|canada|market|markets|body|all|trans\w*|automatic|manual|gasoline|on|in|with|concerns?|make|model|year|engine|applied|affected|all|any|vehicle|date|number|the|this|these|some|certain|customer|dealer"
    r"|service|technical|bulletin|subject|recall|safety|from|to|page|copyright|january|february|march|april|may|june"
    r"|july|august|september|october|november|december|jan|feb|mar|apr|jun|jul|aug|sep|sept|oct|nov|dec)\b",
    re.IGNORECASE,
)
_BRACKETS = re.compile(r"\([^)\n]{0,60}\)")
_LONGEST, _SHORTEST = 32, 3
_WORDS = r"[A-Z][A-Za-z0-9'-]*(?: (?!WITH\b|AND\b|FOR\b|Vehicles?\b|VEHICLES?\b)[A-Z][A-Za-z0-9'-]*){0,2}"
_YEARS = (
    r"(?:(?:19|20)\d\d|MY\s?\d{2,4})(?:\s*(?:[-\u2013,]|(?i:to|through|and))\s*(?:(?:19|20)?\d\d))*"
    r"(?:\s?MY|\s+(?i:model\s+years?))?"
)
_BEHIND_YEARS = re.compile(
    rf"(?<![\w/.-]){_YEARS} (?P<name>{_WORDS})"
    r"(?=\s*(?:[.,;:(|\n]|$|with\b|(?i:vehicles?|models?)\b|built\b|\d\.\d|and\b))"
)
_SOME = re.compile(
    rf"\b(?:some|certain|and) (?P<name>{_WORDS})(?=(?:,? and [A-Z][\w -]{{2,30}}?)?\s+vehicles?\b)"
)
_BEFORE_YEARS = re.compile(rf"(?<![\w/.-])(?P<name>{_WORDS})\s?,?\s\(?{_YEARS}(?![\w/-])")

_COMPANY = re.compile(
    r"(?:^|(?<=  ))[ ]*(?:(?P<make>[A-Z][A-Za-z]{2,})[ ]"
    r"(?i:motors?|inc|trucks?|automotive|vehicles|service|technical|bulletin|field|recall|safety|campaign|tech|dealer"
    r"|group|of[ ]america|aftersales|digital)\b|(?P<alone>[A-Z][a-z]{2,}|[A-Z]{3,})[ ]*$)",
    re.MULTILINE,
)
"""A name in front of what every maker's paper calls itself, or alone in a line or at its margin."""
_OF_EVERY_PAPER = phrases("of_every_paper")
_HEAD = 6
_BEFORE_SHORT = re.compile(
    rf"^[ ]{{0,3}}(?P<name>{_WORDS}) ['\u2019]?\d\d\s?[-\u2013/]\s?['\u2019]?\d\d(?![\w/-])", re.MULTILINE
)


def unknown_names(paper: Paper, known: Sequence[Named]) -> Iterator[Named]:
    """The names that the layout of a paper tells, beside those that are known."""
    taken = [(one.begins, one.ends) for one in known]
    tabled = [
        one
        for one in names_in_tables(paper)
        if not _is_no_name(one.name) and not overlaps(one.begins, one.ends, taken)
    ]
    found = list(tabled)
    for part in paper.of(Part.MAKE, Part.MODEL, Part.VEHICLES):
        for entry in _ENTRY.finditer(_without_brackets(paper.text), part.begins, part.ends):
            found += _of_entry(paper, part, entry, (*known, *tabled))
    by_years = (
        ()
        if any(one.is_model for one in (*known, *found))
        else (_BEHIND_YEARS, _BEFORE_YEARS, _BEFORE_SHORT, _SOME)
    )
    for form in by_years:
        for match in form.finditer(paper.flat):
            found += _beside_years(paper, match, (*known, *found))
    yield from found
    yield from _makes_in_front(paper, (*known, *found))


def _vowelled(name: str) -> bool:
    """Whether a word can be spoken, as names can, and short names of papers cannot."""
    return re.search(r"[AEIOUYaeiouy]", name) is not None and name.isalpha()


def _makes_in_front(paper: Paper, known: Sequence[Named]) -> Iterator[Named]:
    """Where nobody told the make: the word that begins a line in front of a model, elsewhere named alone."""
    if not all(one.is_model for one in known):
        return
    head = paper.lines[:_HEAD] if len(paper.lines) > _HEAD else ()
    told = (found for line in head for found in _COMPANY.finditer(paper.text, line.begins, line.ends))
    for found in told:
        name = found["make"] or found["alone"]
        if _vowelled(name) and not (
            _is_no_name(name) or part_headed(name) or _OF_EVERY_PAPER.fullmatch(name)
        ):
            begins = found.start("make" if found["make"] else "alone")
            yield Named(name, begins, begins + len(name), fold(name), is_model=False)
            return
    for model in dict.fromkeys(one.name for one in known):
        form = re.compile(
            rf"^[ ]{{0,60}}(?:{_YEARS} )?(?P<make>[A-Z][A-Za-z]{{2,}}) {re.escape(model)}\b",
            re.MULTILINE | re.IGNORECASE,
        )
        ahead = form.search(paper.flat)
        if ahead and ahead["make"][0].isupper() and not _is_no_name(ahead["make"]):
            yield Named(ahead["make"], *ahead.span("make"), fold(ahead["make"]), is_model=False)
            return


def _without_brackets(text: str) -> str:
    return _BRACKETS.sub(lambda one: " " * len(one[0]), text)


def _of_entry(paper: Paper, part: Headed, entry: re.Match[str], known: Sequence[Named]) -> Iterator[Named]:
    """The make and the model of one entry of a list of vehicles, where none of it is known."""
    begins, ends = entry.span()
    inside = [one for one in known if begins <= one.begins < ends]
    if any(one.is_model or part.part is Part.MAKE for one in inside):
        return
    since = max((one.ends for one in inside), default=begins)
    said = _APART.sub(_blank, entry[0][since - begins :])
    found = _NAME.search(_NO_NAME.sub(_blank, said))
    if found is None or len(found[0]) > _LONGEST or _is_no_name(found[0]):
        return
    at = since + found.start()
    if part.part is Part.MAKE:
        yield Named(found[0], at, at + len(found[0]), fold(found[0]), is_model=False)
    else:
        yield from _make_and_model(paper, found[0], at, known, inside)


def _beside_years(paper: Paper, match: re.Match[str], known: Sequence[Named]) -> Iterator[Named]:
    """A name that stands between its years and the next small word, or right in front of its years."""
    begins, ends = match.span("name")
    inside = [one for one in known if one.begins < ends and begins < one.ends]
    if any(one.is_model for one in inside) or _is_no_name(match["name"]):
        return
    since = max((one.ends for one in inside), default=begins)
    name = paper.flat[since:ends].strip()
    headed = re.search(r"(?:^|[-\u2013:]\s)\s*\Z", paper.flat[max(0, since - 6) : since], re.MULTILINE)
    if name and (inside or " " in name or (headed and len(name) > _SHORTEST)):
        yield from _make_and_model(paper, name, paper.flat.index(name, since), known, inside)


def _make_and_model(
    paper: Paper, name: str, at: int, known: Sequence[Named], inside: Sequence[Named]
) -> Iterator[Named]:
    """A name of several words begins with its make where no make stands in front of it."""
    first, _, rest = name.partition(" ")
    make = fold(first)
    told = inside or not rest or any(fold(one.name) != make for one in known if not one.is_model)
    if told and not any(fold(one.name) == make for one in known):
        yield Named(name, at, at + len(name), inside[-1].make if inside else _only_make(known), is_model=True)
    else:
        yield Named(first, at, at + len(first), make, is_model=False)
        yield Named(rest, at + len(first) + 1, at + len(name), make, is_model=True)


def _is_no_name(words: str) -> bool:
    """Whether words with capitals are of the paper, not of a vehicle."""
    said = set(words.casefold().split())
    return bool(part_headed(words) or _NO_MODEL.match(words) or said & PAPERWORK)


def _blank(found: re.Match[str]) -> str:
    return " " * len(found[0])


def _only_make(known: Sequence[Named]) -> str:
    makes = {one.make for one in known if not one.is_model}
    return makes.pop() if len(makes) == 1 else ""
