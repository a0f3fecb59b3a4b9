"""Which texts under the update are numbers of bulletins, and which are work ("R&R starter").

A text makes no draft bulletin unless somebody says so: it is kept with the work that was done.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Mapping

from kb.intake.history.history_words import says_nothing
from kb.intake.rows import RowError, Severity
from kb.intake.text.bulletin_numbers import bulletin_numbers_in
from kb.nouns.vehicles import fold_id
from kb.words.english import english_words
from kb.words.normalise import is_code

SHOWN = 3
_MOST_WORDS = 3
_AROUND = re.compile(
    r"(?:tsbs?|isb|sb|bulletins?|service|technical|campaign|recall|update|per|number|no|nr|ref|see|id|rev|[a-z])",
    re.IGNORECASE,
)
_MEASURE = re.compile(r"\d{1,3}(?:\.\d+)?\s*(?:hrs?|hours?|h|mi|miles|k|qts?|l|v|x|%)?", re.IGNORECASE)


def number_in(text: str, on_file: Collection[str] = ()) -> str | None:
    """The number of a bulletin that a text is or names; empty where it says none, None where it is no number.

    `on_file`: folded numbers of bulletins, which are numbers whatever they look like.
    """
    if says_nothing(text):
        return ""
    if fold_id(text) in on_file:
        return text
    found = list(bulletin_numbers_in(text))
    named = found[0].number if len({one.number for one in found}) == 1 else ""
    if named and all(_AROUND.fullmatch(word) for word in re.findall(r"\w+", text.replace(named, " "))):
        return named
    return text if _looks_like_one(text) else None


def texts_that_are_none(texts: Iterable[str], on_file: Collection[str] = ()) -> Counter[str]:
    """Texts that are no numbers, with how many rows have each."""
    counted = Counter(" ".join(one.split()) for one in texts)
    return Counter({text: rows for text, rows in counted.items() if number_in(text, on_file) is None})


def as_work(cells: Mapping[str, str], text: str) -> dict[str, str]:
    """The cells of a row whose update is a text: it goes to the work that was done."""
    done = cells.get("work_done", "")
    work = done if text.casefold() in done.casefold() else "; ".join(filter(None, (text, done)))
    return {**cells, "update": "", "work_done": work}


def told_of_texts(texts: Mapping[str, int]) -> RowError:
    """What is said at the end of a file in which texts were no numbers."""
    rows = sum(texts.values())
    said = "1 row has a text" if rows == 1 else f"{rows:,} rows have a text"
    usual = Counter(texts).most_common(SHOWN)
    shown = ", ".join(f"“{text}” {count:,}" for text, count in usual)
    more = f" and {len(texts) - len(usual):,} more" if len(texts) > len(usual) else ""
    message = (
        f"{said} under update that is no number of a bulletin: {shown}{more}. No bulletin was made of "
        "it; it is kept with the work done. If it is one, undo this import and take the texts as updates."
    )
    return RowError(0, "update", message, Severity.WARNING)


def _looks_like_one(text: str) -> bool:
    """One word with a figure in it, or few of which none is English; no trouble code and no measure."""
    words = text.split()
    if not 1 <= len(words) <= _MOST_WORDS or not any(map(str.isdecimal, text)) or _MEASURE.fullmatch(text):
        return False
    if is_code(text):
        return False
    spelled = [word.lower() for word in re.findall(r"[^\W\d]{3,}", text)]
    return len(words) == 1 or not any(map(english_words().is_usual, spelled))
