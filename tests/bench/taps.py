"""How many taps an outcome costs: nice python -m tests.bench.taps [vehicles] [seed].

An invented shop of one update whose vehicles fail and are heard of as in tests/simulated/hearing.py, day by
day, everything that is heard entered through the pages by a visitor without JavaScript. Counted as a tap: a
button pressed, a chip chosen, a day typed. Not counted, but listed: pages loaded, and what is done anyway
(the new repair order itself, telephoning). An outcome is a road test's result, a comeback, or "still fixed";
it costs the taps from the page where it is entered to the last thing that was said of it, the day of a
comeback included where the customer knows it.
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from kb.desk.bay.concern import concerns
from kb.desk.bay.programming import programming
from kb.desk.calls import morning_calls
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.concerns import ModuleResult, ProgrammingEventDraft, ReflashResult
from tests.conftest import StandingClock
from tests.factories import a_concern, a_vehicle, actor_of, an_update
from tests.simulated.hearing import Fates, Hearing, draw_fates
from tests.web.browsing import Page, Visitor

DAYS, KNOWS_THE_DAY, IS_ASKED, HERE_AGAIN, CANNOT_SAY = 200, 0.6, 0.8, 0.5, 0.1
HEARING = Hearing(told=0.75, reached=0.6)
BACK = (
    "bucking again at light throttle", "still jerks goin uphill", "surges when warm, same as before",
    "hesitates pulling away", "it is doing it again",
)  # fmt: skip
OTHER = ("oil leak at front cover", "squeaks over bumps", "A/C blows warm", "tires worn, needs alignment")


@dataclass(frozen=True, slots=True)
class Entered:
    """One thing entered: how it was heard, what was said, taps and pages loaded."""

    way: str
    said: str
    taps: int
    loads: int


@dataclass
class Finger:
    """One person at the pages; counts what is pressed and what is loaded since the last `done`."""

    visitor: Visitor
    entered: list[Entered] = field(default_factory=list)
    taps: int = 0
    loads: int = 0

    def open(self, path: str) -> Page:
        """Signed in anew on every day."""
        self.loads += 1
        page = self.visitor.see(path)
        if self.here() == "/sign-in":
            self.visitor = Visitor(self.visitor.shop).sign_in("tech")
            page = self.visitor.see(path)
        return page

    def press(self, page: Page, action: str, name: str, value: str) -> Page:
        form = page.form(action)
        assert any((b.get("name"), b.get("value")) == (name, value) for b in form.buttons), (action, value)
        return self._send(action, form.fields | {name: [value]})

    def type_and_save(self, page: Page, action: str, name: str, value: str) -> Page:
        self.taps += 1
        return self._send(action, page.form(action).fields | {name: [value]})

    def here(self) -> str:
        assert self.visitor.answer is not None
        return self.visitor.answer.url.path

    def done(self, way: str, said: str) -> None:
        self.entered.append(Entered(way, said, self.taps, self.loads))
        self.taps = self.loads = 0

    def _send(self, action: str, fields: dict[str, list[str]]) -> Page:
        self.taps, self.loads = self.taps + 1, self.loads + 1
        answer = self.visitor.client.post(action, data=fields)
        self.visitor.answer = answer
        assert answer.status_code == 200, answer.text[-2000:]
        return Page(answer.text)


@dataclass
class Course:
    """The shop, its clock, and what becomes of each vehicle."""

    shop: RunningShop
    clock: StandingClock
    finger: Finger
    fates: Fates
    starts: list[int]
    random: np.random.Generator
    first_day: date
    concern: dict[int, int] = field(default_factory=dict)
    orders: int = 0

    def live(self) -> None:
        visits = [int(self.random.integers(1, 120)) for _ in self.starts]
        again = self.random.random(len(self.starts)) < HERE_AGAIN
        for day in range(DAYS):
            for at, start in enumerate(self.starts):
                age = day - start
                if age == 0:
                    self._reflash(at)
                told = bool(self.fates.unasked[at]) and self.fates.fails_on[at] == age > 0
                if told:
                    self._comes_back(at)
                elif again[at] and age == visits[at]:
                    self._other_work(at, age)
            self._morning(day)
            self.clock.move(days=1)

    def _open(self, at: int, complaint: str) -> int:
        self.orders += 1
        car = a_vehicle(vin=f"XV1FB3A28K8{at:06d}")
        draft = a_concern(
            ro_number=str(self.orders), complaint=complaint, vehicle=car, vin_confirmed=True, phone="555-0100"
        )
        with self.shop.writing(actor_of(self.shop, "tech")) as desk:
            return concerns.open_concern(desk, draft).id

    def _reflash(self, at: int) -> None:
        concern = self.concern[at] = self._open(at, "bucks and jerks at light throttle uphill when warm")
        with self.shop.writing(actor_of(self.shop, "tech")) as desk:
            module = ModuleResult("PCM", ReflashResult.COMPLETED, 1, concern_ids=(concern,))
            programming.record_event(desk, ProgrammingEventDraft((module,), desk.today))
        gone = "cannot_say" if self.random.random() < CANNOT_SAY else "gone"
        said = "still_there" if self.fates.fails_on[at] == 0 else gone
        page = self.finger.open(f"/concerns/{concern}/release")
        self.finger.press(page, f"/concerns/{concern}/road-test", "road_test", said)
        self.finger.done("road test at release", said)

    def _comes_back(self, at: int) -> None:
        visit = self._open(at, str(self.random.choice(BACK)))
        action, page = f"/concerns/{visit}/earlier/{self.concern[at]}", self.finger.open(f"/concerns/{visit}")
        proposed = any(button.get("value") == "old_one" for button in page.form(action).buttons)
        page = self.finger.press(page, action, "said", "old_one" if proposed else "came_back")
        if not proposed:
            self._since_when(page, at)
        self.finger.done("comeback" if proposed else "comeback in words not recognised", "came_back")

    def _other_work(self, at: int, age: int) -> None:
        visit = self._open(at, str(self.random.choice(OTHER)))
        action, page = f"/concerns/{visit}/earlier/{self.concern[at]}", self.finger.open(f"/concerns/{visit}")
        if not any(form.action == action for form in page.forms):
            self.finger.taps = self.finger.loads = 0
            return
        failed = self.fates.fails_on[at] <= age
        answer = "came_back" if failed else "still_fixed"
        said = answer if self.random.random() < IS_ASKED else "not_asked"
        page = self.finger.press(page, action, "said", said)
        if said == "came_back":
            self._since_when(page, at)
        self.finger.done("come in for other work", said)

    def _morning(self, day: int) -> None:
        with self.shop.reading(actor_of(self.shop, "tech")) as desk:
            if not morning_calls.calls_this_morning(desk).due:
                return
        while calls := self._on_the_card():
            page, at = calls
            action = f"/concerns/{self.concern[at]}/follow-up"
            failed = self.fates.fails_on[at] <= day - self.starts[at]
            answer = "came_back" if failed else "fine"
            said = answer if self.random.random() < HEARING.reached else "no_answer"
            page = self.finger.press(page, action, "result", said)
            if said == "came_back":
                self._since_when(page, at)
            self.finger.done("follow-up by call", said)

    def _on_the_card(self) -> tuple[Page, int] | None:
        page = self.finger.open("/concerns")
        by_action = {f"/concerns/{concern}/follow-up": at for at, concern in self.concern.items()}
        first = next((by_action[form.action] for form in page.forms if form.action in by_action), None)
        if first is None:
            self.finger.loads = 0
            return None
        return page, first

    def _since_when(self, page: Page, at: int) -> None:
        """The customer may know since when; else nothing more is pressed."""
        if self.random.random() >= KNOWS_THE_DAY:
            return
        back = self.first_day + timedelta(days=self.starts[at] + int(self.fates.fails_on[at]))
        self.finger.type_and_save(page, self.finger.here(), "seen_on", str(back))


def run(folder: Path, vehicles: int, seed: int) -> Course:
    """A shop in that folder after its days, everything entered."""
    random, clock = np.random.default_rng(seed), StandingClock()
    shop = RunningShop.open(f"sqlite:///{folder / 'shop.db'}", clock=clock)
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update())
    fates = draw_fates(HEARING, random.random(vehicles) < 0.65, random)
    starts = sorted(int(one) for one in random.integers(0, 60, vehicles))
    visitor = Visitor(shop).sign_in("tech")
    course = Course(shop, clock, Finger(visitor), fates, starts, random, clock().date())
    course.live()
    return course


def outcomes(entered: list[Entered]) -> list[Entered]:
    """What says how a vehicle does; asked in vain and not asked do not."""
    return [one for one in entered if one.said not in ("no_answer", "not_asked")]


def share_within(entered: list[Entered], taps: int = 2) -> float:
    return sum(one.taps <= taps for one in entered) / len(entered)


def main() -> None:
    vehicles, seed = (int(one) for one in [*sys.argv[1:3], *("60", "1")[len(sys.argv) - 1 :]])
    with tempfile.TemporaryDirectory() as folder:
        entered = run(Path(folder), vehicles, seed).finger.entered
    told = outcomes(entered)
    print(f"{vehicles} vehicles, {len(told)} outcomes entered, {share_within(told):.0%} with 2 taps or fewer")
    print(f"{'':34}{'said':>12} {'n':>4} {'taps':>12} {'pages loaded':>13}")
    for (way, said), n in sorted(Counter((one.way, one.said) for one in entered).items()):
        some = [one for one in entered if (one.way, one.said) == (way, said)]
        taps = ", ".join(f"{k}: {v}" for k, v in sorted(Counter(one.taps for one in some).items()))
        print(f"{way:34}{said:>12} {n:>4} {taps:>12} {np.mean([one.loads for one in some]):>13.1f}")


if __name__ == "__main__":
    main()
