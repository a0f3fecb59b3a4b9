"""What was proposed beside what stands there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from kb.desk.bay.seen.reading_scans import SeenValue


def is_read(true: str, one: SeenValue) -> bool:
    """Whether a proposal is the true value in every place that it does not mark."""
    return len(true) == len(one.value) and all(
        a == b or n in one.doubtful
        for n, (a, b) in enumerate(zip(true.upper(), one.value.upper(), strict=True), start=1)
    )


@dataclass
class Score:
    """Counts by field: there, found to the letter, found up to the marked letters, wrong without a mark."""

    there: Counter[str] = field(default_factory=Counter)
    exact: Counter[str] = field(default_factory=Counter)
    marked: Counter[str] = field(default_factory=Counter)
    wrong: Counter[str] = field(default_factory=Counter)
    marks: Counter[str] = field(default_factory=Counter)
    letters: Counter[str] = field(default_factory=Counter)
    said: list[str] = field(default_factory=list)

    def add(
        self, where: str, values: Iterable[tuple[str, str]], proposals: Iterable[SeenValue], name: str = ""
    ) -> None:
        """Count one photo; `name` is what its VIN counts as."""
        values, proposals = list(values), list(proposals)
        for what, true in values:
            called = name if what == "vin" and name else what
            same = [one for one in proposals if one.field == what]
            self.there[called] += 1
            self.exact[called] += any(one.value.upper() == true.upper() for one in same)
            near = any(is_read(true, one) for one in same)
            self.marked[called] += near
            if not near:
                self.said.append(f"{where}: {what} {true} not read; {[(o.value, o.doubtful) for o in same]}")
        for one in proposals:
            self.letters[one.field] += len(one.value)
            self.marks[one.field] += len(one.doubtful)
            if not any(one.field == what and is_read(true, one) for what, true in values) and len(
                one.doubtful
            ) < len(one.value):
                self.wrong[one.field] += 1
                self.said.append(
                    f"{where}: WRONG {one.field} {one.value} {one.doubtful} from {one.read_from!r}"
                )
