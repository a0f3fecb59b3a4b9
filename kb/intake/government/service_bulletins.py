"""Service bulletins, the older layout: 10 fields a line separated by TAB, no header, or the zip of it.

One row for every bulletin, model and model year; one note for every NHTSA item number. Summaries of this
layout end after 240 characters in the source.
"""

from __future__ import annotations

from kb.intake.government.gather import Layout
from kb.intake.government.government_tab import TabFile

NAME = "service-bulletins"

read = TabFile(
    NAME,
    "service bulletins",
    Layout(width=10, key=2, make=5, model=6, year=7, summary=9, component=4),
    number=0,
    published=3,
).read
