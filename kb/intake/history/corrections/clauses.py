"""A correction text in clauses, with the modules and numbers that each names."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from kb.intake.history.corrections.shorthand import Words, whole_words
from kb.vehicle.modules import module_called, modules_named
from kb.words.bulletin_numbers import bulletin_numbers_in

_VERB = (
    r"(?:\w{2,}ed|reset|set|did|ran|drove|reflash|reprogram|flash|program|update|clear|perform|verify|road|test"
    r"|install|replace|took|found|check|still|put|sent|has|runs|shifts|will|no|all|now|recheck|cleared|recommend"
    r"|customer)"
)
_JOINED = (
    r"(?<!\bwas)(?<!\bwere)(?<!\bbeen)(?<!\bbe)(?<!\bis)(?<!\bnot)(?<!\bto)(?<!\band)(?<!\bhad)(?<!\bhas)(?<!\bhave)"
    r"(?<!\bgot)(?<!\bdealer)(?<!\bcustomer)(?<!\bwe)(?<!\bi)(?<!\btechnician)(?<!M)(?<!ly)(?<!software)(?<!already)"
    r"(?<!calibration)(?<!module)(?<!vehicle)(?<!ed)(?<!shop)(?<!needs)(?<!\bgets)(?<!\bit)(?<!key)(?<!keys)(?<!fob)"
    r"(?<!never)(?<!didnt)(?<!codes)(?<!for)(?<!of)(?<!fobs)(?<!remote)(?<!remotes)(?<!sensor)(?<!both)(?<!unit)(?<!\bno)(?<!since)(?<!after)"
    r" (?=(?:reprogrammed|reflashed|flashed|replaced|cleared|performed|installed|verified|found|road tested|test drove|cleaned) )"
)
_END = re.compile(rf" ?[.,;:!?()*=|#>]+(?= |$)| -+(?= )| (?:then|but|however)\b| and (?={_VERB}\b)|{_JOINED}|^[.,;:!?()*=|#>-]+ ")
_UNIT = re.compile(r"((?:[a-z]+ ){1,3}?)(?:module|computer|controller|ecu|unit)\b")
_LISTED = re.compile(r"\b(?:ipcm?|icm|ccn|gem|sjb|bcu)\b")
_CHANGED = r"(?:reprogrammed|reflashed|flashed|updated|programmed|reprogram|reflash|update|upgraded)"
_LOOSE = re.compile(
    rf"\b(?:transmission|engine|body|radio)(?= (?:software|calibration|updated?|re|reflash\w*|flash\w*|programming|program"
    rf"|reprogram\w*|firmware|file)\b)|{_CHANGED} (?:the )?(?P<behind>transmission|engine)(?! (?:fluid|oil|codes|presets))\b"
)
_ANY = re.compile(r"\b(?!(?:the|new|a|an|this|that|control|old|failed|of|to|in|for|and|with|on|all|both|bad|per|reman|used|each|other|second|driver|no|one|same|every|its|by|flash\w*|\w+ed|\w+ing|reprogram|reflash|update|program|software|calibration|lost|communication|power) )([a-z]{2,}) modules?\b")
_ECU = re.compile(r"\becus?\b")


@dataclass(frozen=True, slots=True)
class Named:
    """A module, or the number of a bulletin, with its place in the words read."""

    name: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Clause:
    """What stands between two commas, say. `words`: a module is M, a number N, each letter one of theirs;
    `start` is its place in the words read, `after_stop` that a sentence begins with it.
    """

    words: str
    start: int
    modules: tuple[Named, ...]
    numbers: tuple[Named, ...]
    after_stop: bool

    @property
    def end(self) -> int:
        return self.start + len(self.words)


@dataclass(frozen=True, slots=True)
class Text:
    """A whole text, read."""

    words: Words
    masked: str
    clauses: tuple[Clause, ...]
    modules: tuple[Named, ...]
    numbers: tuple[Named, ...]


def text_in_clauses(text: str) -> Text:
    words = whole_words(text)
    modules = tuple(sorted(_modules(words.read), key=lambda one: one.start))
    numbers = tuple(_numbers(text, words))
    masked = _masked(_masked(words.read, modules, "M"), numbers, "N")
    return Text(words, masked, tuple(_clauses(masked, modules, numbers)), modules, numbers)


def _modules(read: str) -> Iterator[Named]:
    """By the table of names; "transmission computer" is the transmission control module, "ecu" any."""
    taken: list[tuple[int, int]] = []
    units = (one for found in _UNIT.finditer(read) for one in _unit(found))
    loose = (_loose(found) for found in _LOOSE.finditer(read))
    listed = (Named(module_called(one[0]), one.start(), one.end()) for one in _LISTED.finditer(read))
    bare = (Named("ECU", one.start(), one.end()) for one in _ECU.finditer(read))
    table = (Named(module, start, end) for start, end, module in modules_named(read))
    other = (Named(f"{one[1]} module", one.start(), one.end()) for one in _ANY.finditer(read))
    for one in (*table, *units, *listed, *loose, *bare, *other):
        if not any(start < one.end and one.start < end for start, end in taken):
            taken.append((one.start, one.end))
            yield one


def _unit(found: re.Match[str]) -> Iterator[Named]:
    """Of "body computer" the body control module."""
    words = found[1].split()
    for first in range(len(words)):
        plain = " ".join(words[first:])
        if plain in _PLAIN:
            start = found.end(1) - len(plain) - 1
            yield Named(module_called(f"{_WHOLE.get(plain, plain)} control module"), start, found.end())
            return


def _loose(found: re.Match[str]) -> Named:
    """Of "transmission software" and "reflashed transmission" the module, which is not named."""
    word, start, end = found[0], found.start(), found.end()
    if found["behind"]:
        word, (start, end) = found["behind"], found.span("behind")
    return Named("infotainment" if word == "radio" else module_called(f"{word} control module"), start, end)


_WHOLE = {"hv": "hybrid"}
_PLAIN = {
    *("transmission", "engine", "body", "brake", "airbag", "air bag", "steering", "power steering", "hybrid"),
    *("powertrain", "restraint", "restraints", "shifter", "telematics", "hv"),
}


def _numbers(text: str, words: Words) -> Iterator[Named]:
    """As they are written; looked for in the whole words, since "bull." says what the number behind it is."""
    for found in bulletin_numbers_in(words.read):
        begin, end = words.place(found.begins, found.ends)
        yield Named(text[begin:end], found.begins, found.ends)


def _masked(read: str, named: tuple[Named, ...], letter: str) -> str:
    for one in named:
        read = read[: one.start] + letter * (one.end - one.start) + read[one.end :]
    return read


def _clauses(masked: str, modules: tuple[Named, ...], numbers: tuple[Named, ...]) -> Iterator[Clause]:
    start, stop = 0, True
    ends = [(found.start(), found.end(), found[0]) for found in _END.finditer(masked)]
    for end, after, sign in (*ends, (len(masked), len(masked), "")):
        words = masked[start:end]
        if words.strip():
            lead = len(words) - len(words.lstrip())
            yield Clause(
                words.strip(),
                start + lead,
                tuple(one for one in modules if start <= one.start < end),
                tuple(one for one in numbers if start <= one.start < end),
                stop,
            )
            stop = False
        stop = stop or any(one in sign for one in ".!?;*")
        start = after
