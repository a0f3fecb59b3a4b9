"""How well labels, screens and texts are read: python -m tests.bench.read [photos|texts|memory|taps] [seed].

200 photos of drawn labels and screens through the use case behind `POST /api/read`, 60 texts in 12 invented
layouts, and what files that are no photo do to memory. `misses` lists what was missed; `every=5` takes each
fifth photo only. `taps` counts the way from the home page to the first check, with photos and typed.
"""

from __future__ import annotations

import io
import sys
import time
from collections import defaultdict
from dataclasses import dataclass, field
from random import Random

from kb.desk.bay.seen.reading_scans import SeenFile, SeenValue, read_scans
from kb.errors import KbError
from kb.vehicle.modules import module_called
from tests.bench.read import first_check, hostile
from tests.bench.read.camera import TROUBLES, taken
from tests.bench.read.drawn import KINDS
from tests.bench.read.layouts import texts
from tests.bench.read.scoring import Score


def photos(seed: int, misses: bool, every: int = 1) -> None:
    """Of each kind in turn every trouble of the camera; with `every` only each so manieth photo."""
    score, by_trouble, seconds = Score(), defaultdict(Score), []
    number = 0
    for make, count in KINDS:
        for n in range(count):
            number += 1
            if number % every:
                continue
            draw = Random(f"{seed} {make.__name__} {n}")
            drawn = make(draw)
            photo = taken(drawn.image, draw, TROUBLES[n % len(TROUBLES)])
            began = time.process_time()
            proposals = _read("photo.jpg", photo.data)
            seconds.append(time.process_time() - began)
            name = "vin by code" if drawn.in_code else "vin by letters"
            for one in (score, by_trouble[photo.trouble]):
                one.add(f"{number} {drawn.kind}, {photo.trouble}", sorted(drawn.values), proposals, name)
    _print(f"{len(seconds)} photos", score)
    for trouble, one in by_trouble.items():
        found, there, wrong = (sum(counts.values()) for counts in (one.marked, one.there, one.wrong))
        print(f"  {trouble:8} found {found} of {there}, wrong {wrong}")
    seconds.sort()
    print(
        f"  processor seconds a photo: middle {seconds[len(seconds) // 2]:.2f}, "
        f"nine in ten {seconds[len(seconds) * 9 // 10]:.2f}, longest {seconds[-1]:.2f}"
    )
    if misses:
        print(*score.said, sep="\n")


def _read(name: str, data: bytes) -> list[SeenValue]:
    try:
        return list(read_scans("", [SeenFile(name, io.BytesIO(data))]).proposals)
    except KbError as refused:
        print(f"  {name}: {refused.message}")
        return []


def _print(title: str, score: Score) -> None:
    print(
        f"{title:28}{'there':>7}{'to the letter':>15}{'up to marks':>13}"
        f"{'wrong unmarked':>16}{'marked letters':>16}"
    )
    for what in sorted(score.there):
        there, field = score.there[what], what.split(" ")[0]
        marked = score.marks[field] / max(1, score.letters[field])
        print(
            f"  {what:26}{there:>7}{score.exact[what] / there:>15.3f}{score.marked[what] / there:>13.3f}"
            f"{score.wrong[field]:>16}{marked:>16.3f}"
        )


@dataclass
class CountedTexts:
    """Values there, found with their module and (of a code) state, and more than is there; by layout."""

    texts: int = 0
    by_layout: dict[str, tuple[int, int, int]] = field(default_factory=dict)
    missed: list[str] = field(default_factory=list)

    there = property(lambda self: sum(one[0] for one in self.by_layout.values()))
    found = property(lambda self: sum(one[1] for one in self.by_layout.values()))
    more = property(lambda self: sum(one[2] for one in self.by_layout.values()))


def counted_texts(seed: int) -> CountedTexts:
    counted = CountedTexts()
    for one in texts(seed):
        told = read_scans(one.text, []).proposals
        proposed = {(p.field.value, p.value.upper(), _one_name(p.module), p.status) for p in told}
        wanted = {(what, value.upper(), _one_name(of), status) for what, value, of, status in one.values}
        counts = (len(wanted), len(wanted & proposed), len(proposed - wanted))
        before = counted.by_layout.get(one.layout, (0, 0, 0))
        there, found, more = (a + b for a, b in zip(before, counts, strict=True))
        counted.by_layout[one.layout] = (there, found, more)
        counted.texts += 1
        if wanted != proposed:
            counted.missed.append(
                f"{one.layout}: {sorted(wanted - proposed)} / more: {sorted(proposed - wanted)}"
            )
    return counted


def pasted(seed: int, misses: bool, every: int = 1) -> None:
    """A value counts only with its module and, of a code, its state."""
    counted = counted_texts(seed)
    share = counted.found / counted.there
    print(f"{counted.texts} texts: {share:.3f} of {counted.there} values; more: {counted.more}")
    for layout, (there, found, more) in counted.by_layout.items():
        print(f"  {layout:16}{found:>5} of {there:<5} more: {more}")
    if misses:
        print(*counted.missed, sep="\n")


def _one_name(module: str) -> str:
    """The same for all names of a module: "IPC" and "instrument cluster"."""
    return module_called(module) or module


def main() -> None:
    words = sys.argv[1:]
    seed = next((int(word) for word in words if word.isdigit()), 16)
    misses = "misses" in words
    every = [int(word.removeprefix("every=")) for word in words if word.startswith("every=")]
    named = {"photos", "texts", "memory", "taps"} & set(words) or {"photos", "texts", "memory"}
    for name, run in (("photos", photos), ("texts", pasted)):
        if name in named:
            run(seed, misses, *every)
    if "taps" in named:
        first_check.run()
    if "memory" in named:
        hostile.run()


if __name__ == "__main__":
    main()
