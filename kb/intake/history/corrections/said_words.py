"""The patterns of acts.toml, doubts.toml and outcomes.toml, put together."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

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


_OPEN = ("declin", "refus", "postpone", "defer")
ACTS = {wording: words(some) for wording, some in FILE["acts"].items()}
OBJECTS = {kind: words(some) for kind, some in FILE["objects"].items()}
STANDING = {name: words(some) for name, some in FILE["standing"].items()}
AFTERWARDS = {name: words(some) for name, some in FILE["afterwards"].items()}
WORDINGS = {name: words(some) for name, some in FILE["wordings"].items()}
DOUBTS = {name: words(some) for name, some in FILE["doubts"].items()}
