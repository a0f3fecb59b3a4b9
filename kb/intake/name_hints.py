"""What a column with an unusual name could be: a word of its name, where the values under it agree.

The last resort but slips of the pen, and only ever a suggestion; common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from kb.intake.fields import is_read, read_money, read_odometer
from kb.intake.history.history_words import is_road_test_word, read_came_of_it, read_returned, read_road_test
from kb.intake.text.bulletin_numbers import bulletin_numbers_in
from kb.vehicle.codes import parse_codes

_MOST = 0.8
_HALF = 0.5
_FEW = 0.1
_LEAST = 2
_WORDS = 3
_ISO = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_VIN = re.compile(r"(?=.*[0-9])[A-HJ-NPR-Z0-9]{17}", re.IGNORECASE)
_VEHICLE = re.compile(r"(?:'?\d{2}|(?:19|20)\d{2})\s+[A-Za-z][\w-]+\s+\w.*")
_ORDER = re.compile(r"[A-Z]{0,4}[- ]?\d{3,}(?:-?[A-Z0-9]{1,2})?", re.IGNORECASE)
Values = Sequence[str]


@dataclass(frozen=True, slots=True)
class Hint:
    """Words of a name by which a column is read as `ours`, where its values fit; `but` words that deny it."""

    ours: str
    words: str
    fits: Callable[[Values], bool]
    but: str = ""


def hinted(name: str, values: Values, known: Collection[str]) -> Iterator[str]:
    """What a column could be read as, best first; nothing where no values tell."""
    spaced = re.sub(r"(?<=[a-z])(?=[A-Z])|[\W_]+", " ", name).strip().lower()
    for hint in _HINTS if values else ():
        said = re.search(rf"\b(?:{hint.words})", spaced)
        denied = hint.but and re.search(rf"\b(?:{hint.but})", spaced)
        if hint.ours in known and said and not denied and hint.fits(values):
            yield hint.ours


def _share(values: Values, fits: Callable[[str], object]) -> float:
    return sum(bool(fits(one)) for one in values) / len(values)


def _mostly(fits: Callable[[str], object]) -> Callable[[Values], bool]:
    return lambda values: _share(values, fits) >= _MOST


def _day(text: str) -> bool:
    return bool(_ISO.search(text))


def _day_or_answer(values: Values) -> bool:
    either = _mostly(lambda text: _day(text) or is_read(read_returned, text))
    return any(map(_day, values)) and either(values)


def _numbers_of_bulletins(values: Values) -> bool:
    """Some are: beside them stand operations, which are asked about."""
    plain = [text for text in values if any(not one.told for one in bulletin_numbers_in(text))]
    return len(plain) >= min(_LEAST, len(values)) and len(plain) >= _FEW * len(values)


def _road_tests(values: Values) -> bool:
    """Half of the different answers are enough: a few strange ones are errors of their rows."""
    return _share(values, partial(is_read, read_road_test)) > _HALF


def _words_of_road_tests(values: Values) -> bool:
    return _road_tests(values) and any(map(is_road_test_word, values))


def _outcomes(values: Values) -> bool:
    """Words for what came of it, a day beside some of them."""
    return _share(values, lambda text: read_came_of_it(text)[1]) > _HALF


def _sentences(values: Values) -> bool:
    return sum(len(one.split()) for one in values) >= _WORDS * len(values)


_OF_A_TEST = (
    r"road|test|drive|drove|fix|verif|gone|cured|work|ok\b|pass|good|resol|solv|success|confirm|check"
)
_OF_AN_UPDATE = r"tsb|bulletin|campaign|ops?\b|operation|labou?r|service|procedure|job|updat|reflash|code"
_OF_A_COST = (
    r"(?:come ?back|shop|warranty|goodwill|internal|rework|policy|our|redo).*(?:cost|paid|amount|\bus)"
)
_OF_A_CALIBRATION = r"\b.*(?:cal|sw|soft|id|file)"
_OF_WORK = r"correct|work|perform|note|tech|resol|done|labou?r|comment|repair|action|operation"
_OF_A_CONCERN = r"concern|complain|states?\b|symptom|problem|request|says?\b|reason|issue|story"
_OTHER_DAYS = r"clos|due|promis|paid|out|invoic|sold|birth|finish|complet|print|sale|purchas"
_HINTS = (
    Hint("vin", "", _mostly(_VIN.fullmatch)),
    Hint("codes", "", _mostly(partial(is_read, parse_codes))),
    Hint("vehicle", "", _mostly(_VEHICLE.fullmatch)),
    Hint("returned_on", r"come ?back|return|back|repeat|redo|again", _day_or_answer),
    Hint("reflashed_on", r"re ?flash|flash|re ?program|program|software|updat|calibrat", _mostly(_day)),
    Hint("last_seen_on", r"last|seen|contact", _mostly(_day)),
    Hint("opened_on", r"open|date|in\b|created|received|ro\b|order|start|wr(?:ote|itten)", _mostly(_day),
         _OTHER_DAYS),
    Hint("update", _OF_AN_UPDATE,
         _numbers_of_bulletins),
    Hint("gone_at_road_test", "", _words_of_road_tests, r"before|dup"),
    Hint("gone_at_road_test", _OF_A_TEST, _road_tests, r"before|dup|re ?turn|come ?back|repeat"),
    Hint("event", r"result|outcome|status|disposition|follow|after|later|end", _outcomes),
    Hint("odometer", r"mile|odo|km\b|mi\b", _mostly(partial(is_read, read_odometer))),
    Hint("ro_number", r"ro\b|r o\b|order|ticket|wo\b|invoice|repair|work", _mostly(_ORDER.fullmatch)),
    Hint("cost", _OF_A_COST,
         _mostly(partial(is_read, read_money))),
    Hint("calibration_before", rf"(?:old|before|from|previous|prior){_OF_A_CALIBRATION}", bool),
    Hint("calibration_after", rf"(?:new|after|to|current|updated){_OF_A_CALIBRATION}", bool),
    Hint("module", r"module|ecu|controller|control unit", bool, r"serial|part"),
    Hint("work_done", _OF_WORK, _sentences),
    Hint("complaint", _OF_A_CONCERN, _sentences),
)  # fmt: skip
"""Every name goes with those whose words are empty."""
