"""The patterns of acts.toml, doubts.toml and outcomes.toml, put together."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache

from kb.nouns.word_files import word_file
from kb.words.negators import ABILITY, NOUN, VERB

_HERE = "kb.intake.history.corrections"
FILE = word_file(_HERE, "acts.toml") | word_file(_HERE, "doubts.toml") | word_file(_HERE, "outcomes.toml")


def _filled(pattern: str, groups: Mapping[str, str]) -> str:
    """The groups named in braces put in; braces that count stay."""
    return re.sub(r"\{([a-z_]+)\}", lambda name: groups[name[1]], pattern)


_GROUPS: dict[str, str] = {}
for _name, _said in {
    "no": f"(?:{'|'.join(sorted((VERB | NOUN | ABILITY) - {'neither'}))}|(?:did|was|does) not)",
    **FILE["words"],
    **{name: FILE["outcome"][name] for name in ("drive", "runs", "good", "own", "signs")},
    **{name: FILE["doubts"][name] for name in ("put_in", "held")},
}.items():
    _GROUPS[_name] = _filled(_said, _GROUPS)


def words(patterns: Iterable[str] | str) -> re.Pattern[str]:
    """One of these patterns, as whole words; one of `_OPEN` takes any ending."""
    some = [patterns] if isinstance(patterns, str) else patterns
    ends = {one: "" if one in _OPEN else r"(?!\w)" for one in some}
    return re.compile("|".join(rf"\b(?:{_filled(one, _GROUPS)}){end}" for one, end in ends.items()))


@cache
def _compiled(table: str, name: str) -> re.Pattern[str]:
    return words(FILE[table][name])


class _Patterns(Mapping[str, re.Pattern[str]]):
    """The patterns of a table by name, each compiled when it is first asked for: a server starts without."""

    def __init__(self, table: str) -> None:
        self._table = table

    def __getitem__(self, name: str) -> re.Pattern[str]:
        return _compiled(self._table, name)

    def __iter__(self) -> Iterator[str]:
        return iter(FILE[self._table])

    def __len__(self) -> int:
        return len(FILE[self._table])


_OPEN = ("declin", "refus", "postpone", "defer")
ACTS, OBJECTS, STANDING, AFTERWARDS, WORDINGS, DOUBTS = (
    _Patterns(table) for table in ("acts", "objects", "standing", "afterwards", "wordings", "doubts")
)
