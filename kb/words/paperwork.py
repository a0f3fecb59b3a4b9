"""What is written around a complaint and says nothing of what is wrong (paperwork.toml)."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from kb.nouns.word_files import word_file

LONG = 25
"""A text of more words than this has paperwork around its complaint; in a short one every word is meant."""


@dataclass(frozen=True, slots=True)
class Paperwork:
    """`words` carry nothing by themselves; what `phrases` finds carries nothing at all."""

    words: frozenset[str]
    phrases: re.Pattern[str]

    def places(self, said: Sequence[str]) -> frozenset[int]:
        """Which of the words of a text, small ones included, belong to a phrase of paperwork."""
        text = " ".join(said)
        starts = [0]
        for word in said:
            starts.append(starts[-1] + len(word) + 1)
        at = {start: place for place, start in enumerate(starts)}
        return frozenset(
            place
            for found in self.phrases.finditer(text)
            for place in range(at[found.start()], at[found.start()] + len(found[0].split()))
        )


@lru_cache(maxsize=1)
def paperwork() -> Paperwork:
    """The lists that come with the package."""
    said = word_file("kb.words", "paperwork.toml")
    pattern = "|".join(f"(?:{phrase})" for phrase in said["phrases"])
    return Paperwork(frozenset(said["words"].split()), re.compile(rf"(?<!\S)(?:{pattern})(?!\S)"))
