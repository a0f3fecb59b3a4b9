"""The words by which sentences of papers tell what they are about (sentences.toml)."""

from __future__ import annotations

import re
from functools import lru_cache

from kb.nouns.word_files import word_file

_CANNOT = r"(?:no|not|won't|cannot|unable to|fails? to|failure to|difficult\w* to|hard to) (?:\w+ )?"


def phrases(name: str, before: str = r"\b", behind: str = r"\b") -> re.Pattern[str]:
    """Any of the phrases of one list, in any case, with what must stand before and behind it."""
    one_of = "|".join(_told()[name]).replace("CANNOT ", _CANNOT)
    one_of = one_of.replace("NO_WORK", f"(?!{'|'.join(_told()['of_work_or_making'])})").replace(" ", r"\s+")
    return re.compile(f"{before}(?:{one_of}){behind}", re.IGNORECASE)


@lru_cache(maxsize=1)
def _told() -> dict[str, list[str]]:
    return word_file("kb.intake.text", "sentences.toml")
