"""After "stopped with error": what is recovery, and what is another attempt that waits.

A retry that the manufacturer's screen offers in the same programming session goes on and is recorded as
recovery. A new session, another tool or another module waits until the recovery is recorded, or a lead says
so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from kb.errors import BadInput
from kb.nouns.advice_inputs import StopInHand, StopKind
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.on_file import Programmed
from kb.nouns.concerns import UNFINISHED, WHAT_IS_RECOVERY, ProgrammingEventDraft, ReflashResult
from kb.nouns.days import day_words
from kb.nouns.vehicles import fold_id

_ENDED = {ReflashResult.STOPPED: "stopped with an error", ReflashResult.MODULE_LOST: "was lost"}
_OF_THE_STOPPED = frozenset({ReflashResult.RECOVERED, *UNFINISHED})


def other_attempts(
    waiting: Sequence[Programmed], new: Sequence[tuple[str, ReflashResult]]
) -> tuple[int, ...]:
    """Places in a new sitting of modules that are another attempt while one is not recovered.

    What recovers the module that stopped, or says again that it did not come back, is none; nor is a look-up.
    In a sitting that recovers all of them, the other modules are none either.
    """
    stopped = {fold_id(one.module) for one in waiting}
    recovered = {fold_id(module) for module, result in new if result is ReflashResult.RECOVERED}
    if stopped <= recovered:
        return ()
    return tuple(
        at
        for at, (module, result) in enumerate(new)
        if result is not ReflashResult.NOTHING_NEWER
        and not (result in _OF_THE_STOPPED and fold_id(module) in stopped)
    )


def recovery_stop(file: ConcernFile) -> tuple[StopInHand, ...]:
    """The stop, lifted or not; none where every module is completed or recovered.

    A lift counts for what was recorded by then: a module that stops later is a new stop.
    """
    waiting = file.not_completed
    if not waiting:
        return ()
    since = max(one.recorded_at for one in waiting)
    mine = [one for one in file.lifts if one.stop == StopKind.NOT_RECOVERED.value and one.at >= since]
    by, because = (mine[-1].by, mine[-1].reason) if mine else ("", "")
    told = (f"{one.module} {_ENDED[one.result]} on {day_words(one.performed_on)}." for one in waiting)
    return (StopInHand(StopKind.NOT_RECOVERED, " ".join(told), by, because),)


def refuse_another_attempt(draft: ProgrammingEventDraft, files: Mapping[int, ConcernFile]) -> None:
    """Raise BadInput for another attempt while a module is not recovered and no lead lifted the stop."""
    for file in files.values():
        for stop in recovery_stop(file):
            if stop.is_open:
                _refuse_others(draft, file.not_completed, stop.detail)


def _refuse_others(draft: ProgrammingEventDraft, waiting: Sequence[Programmed], detail: str) -> None:
    by_then = [one for one in waiting if one.performed_on <= draft.performed_on]
    others = other_attempts(by_then, [(one.module, one.result) for one in draft.modules])
    if others:
        raise BadInput(
            f"{detail} Record its recovery first. {WHAT_IS_RECOVERY}",
            fields={f"modules.{at}.result": "waits for the recovery" for at in others},
        )
