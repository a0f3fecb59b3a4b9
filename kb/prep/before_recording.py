"""What was passed by before programming is written down, in one line that blocks nothing."""

from __future__ import annotations


def passed_by(*, ticked: int, not_checked: str, too_late: str) -> str:
    """`ticked`: lines of the prep list that somebody settled; `not_checked`: what nobody looked up for this
    VIN, `too_late` that the make's latest start has passed, each in a sentence or empty. Empty where nothing
    was passed by.
    """
    said = ("" if ticked else "Nothing of the prep list is ticked.", not_checked, too_late)
    told = " ".join(filter(None, said))
    return f"Before you write it down: {told}" if told else ""
