"""What a manufacturer asks for before programming, as the lead entered it."""

from __future__ import annotations

from dataclasses import dataclass

from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.named_faults import named
from kb.errors import BadInput, NotFound
from kb.prep.lines import PLACES
from kb.prep.things import bound_windows
from kb.records.store.shop import equipment as store
from kb.records.tables import MakeRequirement


@dataclass(frozen=True, slots=True)
class RequirementDraft:
    """One requirement of a make (and module, or all). With a `unit` a value is measured and entered.

    `source_line` says where the manufacturer prints it; `operating_system` is what a computer must have.
    """

    make: str
    place: str
    text: str
    module: str = ""
    unit: str = ""
    source_line: str = ""
    operating_system: str = ""


@dataclass(frozen=True, slots=True)
class RequirementView:
    """A requirement in force; `reads` are the windows read in its text, in words."""

    id: int
    content: RequirementDraft

    @property
    def reads(self) -> tuple[str, ...]:
        bound = bound_windows(self.content.text, self.content.unit)
        return tuple(f"{one.key.replace('_', ' ')} {one.window.words(one.unit)}" for one in bound)


@anyone_in_the_shop
def list_requirements(desk: Desk, make: str | None = None) -> tuple[RequirementView, ...]:
    """Those in force, of one make or of all."""
    return tuple(_view(row) for row in store.requirements(desk.session, desk.shop.id, make))


@lead_or_owner
def add_requirement(desk: Desk, draft: RequirementDraft) -> RequirementView:
    """Raises BadInput without make or text, or for a place that is not on the list."""
    wrong = {name: "needed" for name in ("make", "text") if not getattr(draft, name).strip()}
    if draft.place not in PLACES:
        wrong["place"] = "one of " + ", ".join(PLACES)
    if wrong:
        raise BadInput(named("The requirement cannot be saved like this", wrong), fields=wrong)
    row = MakeRequirement(
        shop_id=desk.shop.id,
        make=draft.make.strip(),
        module=draft.module.strip(),
        place=draft.place,
        text=draft.text.strip(),
        unit=draft.unit.strip(),
        source_line=draft.source_line.strip(),
        operating_system=draft.operating_system.strip(),
    )
    store.save(desk.session, row)
    desk.note_down("added", "requirement", row.id, make=row.make)
    desk.bump("settings")
    return _view(row)


@lead_or_owner
def retire_requirement(desk: Desk, requirement_id: int) -> RequirementView:
    """No longer asked for; ticks on past preparation lists stay."""
    row = store.requirement_with_id(desk.session, desk.shop.id, requirement_id)
    if row is None:
        raise NotFound("There is no such requirement.")
    row.retired_on, row.version = row.retired_on or desk.today, row.version + 1
    store.save(desk.session, row)
    desk.note_down("retired", "requirement", row.id)
    desk.bump("settings")
    return _view(row)


def _view(row: MakeRequirement) -> RequirementView:
    content = RequirementDraft(
        row.make, row.place, row.text, row.module, row.unit, row.source_line, row.operating_system
    )
    return RequirementView(row.id or 0, content)
