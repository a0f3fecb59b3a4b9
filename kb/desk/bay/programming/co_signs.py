"""Who prepares and did a programming, held against the shop's sign-offs."""

from __future__ import annotations

from collections.abc import Sequence

from kb.desk.context import Desk
from kb.desk.shop import own_access, sign_offs
from kb.errors import BadInput
from kb.nouns.bay.concern_file import ConcernFile
from kb.nouns.bay.release import ReleaseItem
from kb.prep import co_signs, co_signs_after
from kb.prep.lines import PrepLine
from kb.vehicle.kinds_of_work import kinds_of_work


def lines_before(desk: Desk, file: ConcernFile, module: str, *, replaced: str | None) -> tuple[PrepLine, ...]:
    """Of everybody who prepares this module, the caller among them."""
    kinds = kinds_of_work(module, replaced=replaced is not None)
    hands = co_signs.hands_on(file.ticks, desk.actor.name)
    on_file, sitting = sign_offs.on_file(desk), len({one.event_id for one in file.reflashes}) + 1
    make, own = file.vehicle.make, own_access.accesses_on_file(desk)
    asked = (
        *co_signs.lines_before(on_file, hands, make, kinds, desk.today, sitting),
        *co_signs.lines_of_access(on_file, own, hands, make, kinds, desk.today),
    )
    return (*asked, *co_signs.lines_kept(on_file, file.ticks, asked))


def lines_after(desk: Desk, file: ConcernFile) -> tuple[ReleaseItem, ...]:
    """Of everybody who programmed for this concern, by their last sitting."""
    replaced = file.has_fault("module_original")
    lines = []
    for person, modules in co_signs_after.sittings_of(file.reflashes).items():
        before = sign_offs.on_file(desk, modules[0].event_id)
        kinds = co_signs_after.kinds_done(modules, replaced=replaced)
        performed = modules[0].performed_on
        lines.append(
            co_signs_after.line_after(before, person, file.vehicle.make, kinds, performed, desk.today)
        )
    return tuple(line for line in lines if line is not None)


def refuse_wrong_signer(desk: Desk, signers: Sequence[str], *, co_signed: bool) -> None:
    """Raise BadInput where a line is signed by certain people, and the caller is none of them or did not show
    who they are.
    """
    if not co_signed:
        return
    if desk.actor.name in signers:
        desk.must_be_signed()
        return
    people = sign_offs.on_file(desk).people
    called = " or ".join(people.get(one, one) for one in signers)
    raise BadInput(
        f"{called} signs this under their own name: change who is signed in, then co-sign."
        if signers
        else "Nobody here is signed off to co-sign this. It goes on with a name and a reason.",
        fields={"item": "co-signed by somebody else"},
    )
