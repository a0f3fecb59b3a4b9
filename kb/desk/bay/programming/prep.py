"""Preparing one module for programming: one list from the bulletin, the manufacturer and the shop.

Every line is ticked by a named person, with the value where one is measured; a line that blocks is passed
only with a name and a reason.
"""

from __future__ import annotations

from collections.abc import Iterable

from kb.advice.before_plan.already_installed import programmed_for
from kb.advice.before_plan.fits_module import reading_for, step_here
from kb.advice.before_plan.stops import gates_of, not_checked
from kb.desk.bay.advice import advice, checks_on_file
from kb.desk.bay.advice import updates as updates_desk
from kb.desk.bay.advice.concern_in_hand import concern_in_hand
from kb.desk.bay.concern import recalls as recalls_desk
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.programming import co_signs, prep_lines
from kb.desk.bay.programming.prep_views import PrepItem, PrepList, item_of
from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.shop import failure_sheets, sign_offs
from kb.errors import BadInput, NotFound
from kb.nouns.advice import ConcernInHand, StopInHand, StopKind
from kb.nouns.bay.concern_file import ConcernFile
from kb.prep.limits import read_value
from kb.prep.line_standing import must_be_right
from kb.prep.lines import PLACES, PrepLine, is_told
from kb.prep.replaced_module import PLACE as REPLACED
from kb.prep.replaced_module import WHICH as WHICH_REPLACEMENT
from kb.prep.replaced_module import replacement_said
from kb.records.store.bay import case as store
from kb.records.tables import ConfirmedWindow
from kb.vehicle.lineage import last_readings
from kb.vehicle.updates_on_file import UpdateOnFile

SYSTEM_24V = "system_24v"
"""Ticked where the vehicle's own system is 24 V, and nothing printed says so."""


@anyone_in_the_shop
def prep_list(desk: Desk, concern_id: int, note_id: int | None = None) -> PrepList:
    """The list for one update: the one named, else the first candidate, else the last programmed for it."""
    file = read_concern(desk, concern_id)
    in_hand = concern_in_hand(desk, file)
    update = _update(desk, file, in_hand, note_id)
    note = updates_desk.whole_note(desk, update.note_id) if update else None
    readings = last_readings(file.readings)
    step = step_here(update, readings) if update else None
    ticks = {tick.item: tick for tick in file.ticks}
    replaced = _replaced(file)
    lines, volts = prep_lines.lines(
        desk,
        make=file.vehicle.make,
        module=step.module if step else "",
        note=note,
        is_24_volts=SYSTEM_24V in ticks,
        tune_found=file.has_fault("stock_calibration"),
        replaced=replaced,
        done=checks_on_file.done_on(desk, file),
    )
    lines = (*lines, *co_signs.lines_before(desk, file, step.module if step else "", replaced=replaced))
    items = [item_of(line, ticks.get(line.key)) for line in lines]
    stops = in_hand.stops
    return PrepList(
        concern_id,
        update,
        step,
        reading_for(step, readings) if step else None,
        _by_place(items),
        note.content.exact_entries if note else (),
        note.content.relearns if note else (),
        _overrides(desk, stops),
        tuple(stop for stop in stops if stop.is_open),
        volts,
        SYSTEM_24V in ticks,
        not_checked(gates_of(file, recalls_desk.of_concern(desk, file))),
        failure_sheets.sheet_for(desk, file.vehicle.make),
    )


@anyone_in_the_shop
def tick(desk: Desk, concern_id: int, item: str, measured: str = "", note_id: int | None = None) -> None:
    """Tick one line: a measured one with its value, one that asks for words with them."""
    if item == SYSTEM_24V:
        read_concern(desk, concern_id)
        _put(desk, concern_id, item, "24", "")
        return
    line = _line(desk, concern_id, item, note_id)
    if line.blocks:
        raise BadInput(f"{line.text} Pass it only with a reason.", fields={"item": "blocks"})
    co_signs.refuse_wrong_signer(desk, line.signers, co_signed=bool(line.signers))
    said = measured.strip()
    if line.asks and not is_told(said):
        raise BadInput(f"Write down {line.asks}, in words.", fields={"measured": line.asks})
    if line.unit:
        value = read_value(measured, line.unit, line.limits)
        must_be_right(line, value)
        said = f"{value:.10g}"
    _put(desk, concern_id, item, said, "")


@anyone_in_the_shop
def pass_over(
    desk: Desk, concern_id: int, item: str, reason: str, note_id: int | None = None, measured: str = ""
) -> None:
    """Pass a line with a name and a reason, which the paper repeats; a value read all the same is kept."""
    line = _line(desk, concern_id, item, note_id)
    if line.asks:
        raise BadInput(f"This is not passed over. Write down {line.asks}.", fields={"measured": line.asks})
    if not reason.strip():
        raise BadInput("Write why this line is passed over.", fields={"reason": "empty"})
    value = f"{read_value(measured, line.unit, line.limits):.10g}" if line.unit and measured.strip() else ""
    _put(desk, concern_id, item, value, reason.strip())


@lead_or_owner
def confirm_window(desk: Desk, concern_id: int, item: str, source: str, note_id: int | None = None) -> None:
    """Let a printed window past the usual limits count, wherever the same line is printed.

    Raises BadInput without the source, or for a line that prints no such window.
    """
    line = _line(desk, concern_id, item, note_id)
    if not line.beyond:
        raise BadInput("No window past the usual limits is printed for this line.", fields={"item": "none"})
    if not source.strip():
        raise BadInput("Say where the manufacturer prints it.", fields={"source": "needed"})
    printed = [one.printed for one in line.beyond]
    shop_id, by, now = desk.shop.id, desk.actor.name, desk.now
    rows = [
        ConfirmedWindow(shop_id=shop_id, printed=one, source=source.strip(), by=by, at=now) for one in printed
    ]
    store.add(desk.session, rows)
    desk.note_down("confirmed window", "concern", concern_id, item=item, source=source, printed=printed)


@anyone_in_the_shop
def sign_place(desk: Desk, concern_id: int, place: str, note_id: int | None = None) -> int:
    """Tick every open line of a place that needs no value and does not block; gives how many."""
    found = dict(prep_list(desk, concern_id, note_id).places).get(place)
    if found is None:
        raise NotFound(f"There is no place {place!r}.")
    signed = [one.line for one in found if not one.settled and not one.needs_an_answer]
    for line in signed:
        _put(desk, concern_id, line.key, "", "")
    return len(signed)


@anyone_in_the_shop
def go_on_with_replaced(desk: Desk, concern_id: int, note_id: int | None = None) -> None:
    """Pass the stop of a replaced module, by name, once every line of its own list is settled."""
    items = dict(prep_list(desk, concern_id, note_id).places).get(REPLACED, ())
    left = [item.line.text for item in items if not item.settled]
    if left:
        raise BadInput(f"Still open: {'; '.join(left)}", fields={"item": "open lines"})
    kind = replacement_said(_replaced(read_concern(desk, concern_id)) or "")
    if kind is None:
        raise BadInput(WHICH_REPLACEMENT, fields={"item": "which one it is"})
    advice.lift_stop(desk, concern_id, StopKind.MODULE_REPLACED, f"{kind.value} module: its list is settled")


@anyone_in_the_shop
def untick(desk: Desk, concern_id: int, item: str) -> None:
    """Open a line again."""
    read_concern(desk, concern_id)
    store.clear_tick(desk.session, concern_id, item)
    desk.note_down("reopened prep line", "concern", concern_id, item=item)


def _replaced(file: ConcernFile) -> str | None:
    """What the gate says of a replaced module; None of one that is not."""
    said = file.gate("module_original")
    return said.value if said is not None and said.result == "fault" else None


def _by_place(items: Iterable[PrepItem]) -> tuple[tuple[str, tuple[PrepItem, ...]], ...]:
    """Where a person stands; the list of a replaced module comes before."""
    held = tuple(items)
    by_place = [(one, tuple(item for item in held if item.line.place == one)) for one in (REPLACED, *PLACES)]
    return tuple((place, here) for place, here in by_place if here or place != REPLACED)


def _overrides(desk: Desk, stops: Iterable[StopInHand]) -> tuple[str, ...]:
    lifted = [stop for stop in stops if not stop.is_open]
    called = sign_offs.called(desk) if lifted else {}
    return tuple(
        f"{stop.kind.value.replace('_', ' ')}: override by {called.get(stop.lifted_by, stop.lifted_by)}, "
        f"{stop.lifted_because}"
        for stop in lifted
    )


def _update(
    desk: Desk, file: ConcernFile, in_hand: ConcernInHand, note_id: int | None
) -> UpdateOnFile | None:
    updates = updates_desk.on_file(desk)
    by_id = updates.by_id
    if note_id is not None:
        if note_id not in by_id:
            raise NotFound(f"Note {note_id} is no published update.")
        return by_id[note_id]
    if in_hand.candidates:
        return by_id[in_hand.candidates[0].note_id]
    return next(iter(programmed_for(file, updates)), None)


def _line(desk: Desk, concern_id: int, item: str, note_id: int | None) -> PrepLine:
    for one in prep_list(desk, concern_id, note_id).items:
        if one.line.key == item:
            return one.line
    raise NotFound(f"The preparation list has no line {item!r}.")


def _put(desk: Desk, concern_id: int, item: str, measured: str, passed_over: str) -> None:
    store.put_tick(
        desk.session,
        concern_id,
        item=item,
        measured=measured,
        passed_over=passed_over,
        by=desk.actor.name,
        at=desk.now,
    )
    desk.note_down("prepared", "concern", concern_id, item=item, measured=measured, passed=passed_over)
