"""A correction text in clauses, with the modules and numbers that each names."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from kb.intake.history.corrections.module_names import Named, modules_of_shop
from kb.intake.history.corrections.said_words import FILE
from kb.intake.history.corrections.shorthand import Words, whole_words
from kb.intake.places import overlaps
from kb.intake.text.bulletin_numbers import numbers_in_work
from kb.intake.text.calibration.ids import steps_in

_SERIES = 2
_SAID = FILE["clauses"]
_END = re.compile(
    rf" ?[.,;:!?()*=|#>]+(?= |$)| -+(?= )| (?:then|but|however)\b| and (?={_SAID['after_and']}\b)"
    r"|^[.,;:!?()*=|#>-]+ "
)
_BEGINS = re.compile(rf" (?={_SAID['begins']})")
_LIKE_A_DAY = re.compile(
    r"\b(?:tsb|sb|bulletin|recall|campaign)(?: number| no| #| \.)*"
    r" (\d{2,3}-\d{1,4}(?:-\d{1,4})?|\d{3,4}-[a-z])(?= |$)"
)
_OF_SOFTWARE = re.compile(rf"\b(?:{_SAID['of_software_before']}) ?[:(#]? ?$")
_BELONGS = frozenset(str(_SAID["belongs"]).split())


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
    modules = tuple(sorted(modules_of_shop(words.read), key=lambda one: one.start))
    numbers = tuple(_numbers(text, words))
    masked = _masked(_masked(words.read, modules, "M"), numbers, "N")
    return Text(words, masked, tuple(_clauses(masked, modules, numbers)), modules, numbers)


def _numbers(text: str, words: Words) -> Iterator[Named]:
    """As they are written; looked for in the whole words, since "bull." says what the number behind it is."""
    steps = [place for step in steps_in(text) for place in (*step.old, step.new)]
    for start_read, end_read in _places_of_numbers(_cased(text, words)):
        begin, end = words.place(start_read, end_read)
        if not overlaps(begin, end, steps):
            yield Named(text[begin:end], start_read, end_read)


def _places_of_numbers(read: str) -> list[tuple[int, int]]:
    """One that looks like a day counts behind "TSB"; none behind a word that makes it the software's own."""
    found = {one.begins: one.ends for one in numbers_in_work(read)}
    found |= {one.start(1): one.end(1) for one in _LIKE_A_DAY.finditer(read.lower())}
    return sorted(
        (start, end) for start, end in found.items() if not _OF_SOFTWARE.search(read[:start].lower())
    )


def _cased(text: str, words: Words) -> str:
    """The whole words, in capitals where two letters of a text that is not all capitals stand so."""
    if text.isupper():
        return words.read
    read = list(words.read)
    for at, (begin, end) in zip(words.starts, words.places, strict=True):
        word = text[begin:end]
        if len(word) == _SERIES and word.isupper() and words.read.startswith(word.lower(), at):
            read[at : at + _SERIES] = word
    return "".join(read)


def _masked(read: str, named: tuple[Named, ...], letter: str) -> str:
    for one in named:
        read = read[: one.start] + letter * (one.end - one.start) + read[one.end :]
    return read


def _clauses(masked: str, modules: tuple[Named, ...], numbers: tuple[Named, ...]) -> Iterator[Clause]:
    start, stop = 0, True
    for end, after, sign in (*_ends(masked), (len(masked), len(masked), "")):
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


def _ends(masked: str) -> list[tuple[int, int, str]]:
    """Where clauses end, where the next begins, and by which sign or word."""
    ends = [(found.start(), found.end(), found[0]) for found in _END.finditer(masked)]
    for found in _BEGINS.finditer(masked):
        before = masked[: found.start()].rsplit(" ", 1)[-1]
        if before not in _BELONGS and not before.endswith(("ed", "ly", "M")):
            ends.append((found.start(), found.end(), ""))
    return sorted(ends)
