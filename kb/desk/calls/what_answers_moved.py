"""What the answers that one person wrote down today moved, as that person is told after each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from kb.desk import settings as settings_desk
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.update_names import names_of
from kb.desk.bay.outcomes import counted as counted_desk
from kb.desk.bay.outcomes.observed import stories_of
from kb.desk.context import Desk, anyone_in_the_shop
from kb.nouns.chance_words import in_ten
from kb.nouns.concerns import NOTHING_SAID, FollowUpDraft, FollowUpResult, RoadTest
from kb.nouns.outcomes import Observation
from kb.outcomes.story import Story
from kb.outcomes.what_answers_moved import chances_without_and_with
from kb.records.store.bay import hearing as store

_TELL_NOTHING = NOTHING_SAID | {FollowUpResult.NEW_COMPLAINT}


@dataclass(frozen=True, slots=True)
class Moved:
    """So many answers of one person today about vehicles of an update, and its adjusted chance without them
    and with them.
    """

    number: str
    answers: int
    before: float
    now: float

    @property
    def sentence(self) -> str:
        """Such as "Your 3 answers today moved NV-24-101 from 7 in 10 to 5 in 10."; in tenths, as advised."""
        before, now = in_ten(self.before), in_ten(self.now)
        if before == now:
            return f"Counted; {self.number} still {now}."
        yours = "Your answer" if self.answers == 1 else f"Your {self.answers} answers today"
        return f"{yours} moved {self.number} from {before} to {now}."


@anyone_in_the_shop
def moved_today(desk: Desk, concern_id: int, *, road_tested: bool = False) -> Moved | None:
    """By what this person wrote down today of the update last installed for a concern, and the road test of
    that concern just now where `road_tested`.

    None where nothing of it counts: no update named, other work in the same visit, nothing said yet.
    """
    kept = updates_desk.on_file(desk).kept
    mine = _written_today(desk)
    told = stories_of(desk, {concern_id, *mine})
    own = [one.reflash for one in told.get(concern_id, ()) if one.counted]
    if not own or not own[-1].update_id or own[-1].other_work:
        return None
    update = kept(own[-1].update_id)
    answered = mine.keys() | ({concern_id} if road_tested else set())
    stories = [
        one
        for concern in answered
        for one in told.get(concern, ())
        if one.counted and kept(one.reflash.update_id) == update
    ]
    tested = concern_id if road_tested else 0
    then = [_without(one, mine.get(one.reflash.concern_id, ()), tested) for one in stories]
    answers = sum(len(mine.get(one, ())) for one in {story.reflash.concern_id for story in stories})
    return _moved(desk, update, (then, stories), answers + road_tested)


def _moved(
    desk: Desk, update: int, stories: tuple[Sequence[Story], Sequence[Story]], answers: int
) -> Moved | None:
    found = counted_desk.count(desk, desk.today)
    settings = settings_desk.current(desk)
    without, given = ([_as_of_today(desk, one, update) for one in some] for some in stories)
    if not answers or not any(one.is_told_of for one in (*without, *given)):
        return None
    known = (found.silence, settings.prior())
    chances = chances_without_and_with(found.counts, update, (without, given), known)
    number = " ".join(filter(None, names_of(desk, [update]).get(update, ("", ""))[:1])) or "that update"
    return Moved(number, answers, *chances)


def _as_of_today(desk: Desk, story: Story, update: int) -> Observation:
    seen = story.seen_by(settings_desk.current(desk).window_rule(), desk.today)
    return seen.counted_for(update)


def _without(story: Story, written: Iterable[FollowUpDraft], tested: int) -> Story:
    """The same reflash had this person not written down these answers, or not tested it on the road."""
    left = list(story.heard)
    for one in written:
        if one in left:
            left.remove(one)
    done = story.reflash
    if done.concern_id == tested:
        done = replace(done, road_test=RoadTest.NOT_DONE)
    return replace(story, reflash=done, heard=tuple(left))


def _written_today(desk: Desk) -> dict[int, list[FollowUpDraft]]:
    """By concern, what this person wrote down today that says how a vehicle does, as a story holds it."""
    written: dict[int, list[FollowUpDraft]] = {}
    for row in store.written_by(desk.session, desk.actor.name, desk.morning):
        said = store.as_written(row)
        if said.result not in _TELL_NOTHING:
            written.setdefault(row.concern_id, []).append(said)
    return written
