"""What a manufacturer asks for before programming, as the lead entered it."""

from __future__ import annotations

from dataclasses import dataclass

from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.named_faults import named
from kb.desk.saving import changed, row_of, saved
from kb.errors import BadInput
from kb.nouns.copying import columns_of, copied
from kb.prep.lines import PLACES
from kb.prep.things_measured import bound_windows
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
    row = MakeRequirement(shop_id=desk.shop.id, **columns_of(draft))
    return _view(saved(desk, row, "added", "requirement", "settings", make=row.make))


@lead_or_owner
def retire_requirement(desk: Desk, requirement_id: int) -> RequirementView:
    """No longer asked for; ticks on past preparation lists stay."""
    row = row_of(desk, MakeRequirement, requirement_id, "There is no such requirement.")
    gone = changed(row, {"retired_on": row.retired_on or desk.today})
    return _view(saved(desk, gone, "retired", "requirement", "settings"))


def _view(row: MakeRequirement) -> RequirementView:
    return RequirementView(row.id or 0, copied(RequirementDraft, row))
