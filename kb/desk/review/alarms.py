"""Both alarms of an update, and what somebody answered to each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.update_names import counted_names
from kb.desk.bay.outcomes import counted as counted_desk
from kb.desk.context import Desk, lead_or_owner
from kb.errors import BadInput, NotFound
from kb.nouns.outcomes import NO_UPDATE, WindowRule
from kb.nouns.review.alarms import Alarm, AlarmKind
from kb.outcomes.alarms.worse_than_it_was import worse_than_it_was
from kb.outcomes.alarms.worse_than_shop import watch
from kb.records.store.bay import case as case_store
from kb.records.store.outcomes import outcomes as store
from kb.records.tables import WatchAcknowledged

LONGEST_REMARK = 500


@dataclass(frozen=True, slots=True)
class Answer:
    """What was answered to an alarm: from the next day on the update is watched anew for that one."""

    update: int
    which: AlarmKind
    on: date
    by: str
    remark: str


@lead_or_owner
def answer_alarm(desk: Desk, update_id: int, remark: str, which: AlarmKind = AlarmKind.SHOP) -> None:
    """Write down what is done about an alarm; for that alarm the update is watched anew from tomorrow.

    Raises NotFound for an update without reflashes, BadInput without a remark: the next person must see why.
    """
    if update_id == NO_UPDATE or update_id not in counted_names(desk):
        raise NotFound(f"No reflash is counted for update {update_id}.")
    said = " ".join(remark.split())
    if not 0 < len(said) <= LONGEST_REMARK:
        sentence = f"Say what you do about it, in up to {LONGEST_REMARK} letters."
        raise BadInput(sentence, fields={"remark": sentence})
    row = WatchAcknowledged(
        shop_id=desk.shop.id,
        update_id=update_id,
        which=which,
        on=desk.today,
        by=desk.actor.name,
        remark=said,
    )
    case_store.add(desk.session, [row])
    desk.bump("outcomes")
    desk.note_down("acknowledged alarm", "note", update_id, remark=said, which=which.value)


@lead_or_owner
def answers(desk: Desk, as_of: date | None = None) -> tuple[Answer, ...]:
    """Every answer given by `as_of`, newest first; of merged notes under the one that is kept."""
    kept = updates_desk.on_file(desk).kept
    rows = store.answers(desk.session, desk.shop.id, as_of or desk.today)
    return tuple(
        Answer(kept(row.update_id), AlarmKind(row.which), row.on, row.by, row.remark) for row in rows
    )


@lead_or_owner
def alarms(desk: Desk, as_of: date, rule: WindowRule) -> Mapping[AlarmKind, Mapping[int, Alarm]]:
    """Alarms by update, as raised: against the shop and against its own past; kept until an outcome is added.

    Which of them stand is decided with the rest of the review (kb.outcomes.alarms.report_message).
    """
    key = (updates_desk.on_file(desk), *desk.up_to("outcomes"), as_of, rule)

    def look() -> Mapping[AlarmKind, Mapping[int, Alarm]]:
        last: dict[AlarmKind, dict[int, date]] = {kind: {} for kind in AlarmKind}
        for one in reversed(answers(desk, as_of)):
            last[one.which][one.update] = one.on
        counted = counted_desk.count(desk, as_of, rule)
        seen, silence = counted.sightings(as_of), counted.silence
        return {
            AlarmKind.SHOP: watch(seen, as_of, silence, last[AlarmKind.SHOP]),
            AlarmKind.PAST: worse_than_it_was(seen, as_of, silence, last[AlarmKind.PAST]),
        }

    return desk.memory.recall("alarms", key, look)
