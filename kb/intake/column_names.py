"""What shops call the columns of their own tables (column_names.toml). Only ever a suggestion."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from kb.nouns.word_files import word_file

USUAL_NAMES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {ours: tuple(names) for ours, names in word_file("kb.intake", "column_names.toml").items()}
)
"""Names with one meaning, by ours."""

OPENED_NAMES = ("date", "created", "received", "arrived")
FLASHED_NAMES = ("flashed", "reflashed", "reflash", "programmed", "flash")
DUPLICATED_NAMES = ("verified", "could duplicate", "duplicate")
ROAD_TEST_NAMES = ("gone", "fixed", "cured", "worked", "ok", "road test", "test drive", "after road test")
RESULT_NAMES = (
    *("result", "results", "outcome", "outcomes", "end result", "final result", "status", "disposition"),
    *("follow up", "follow up result", "what came of it", "came of it"),
)
COMEBACK_NAMES = (
    *("comeback", "comebacks", "came back", "come back", "returned", "repeat", "did it come back"),
    *("comeback y/n", "came back y/n", "comeback yes/no", "returned y/n", "returned for same"),
)
"""Names under which one shop writes a day and another yes and no: taken only where the values fit."""
