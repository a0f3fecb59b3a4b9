"""Manufacturer communications, current layout: 14 fields separated by TAB, no header, or the zip of it.

One row for every communication, model year and component; one note for every NHTSA ID number. The maker's
own number is not unique, so the identity is the NHTSA ID. The layout is second-hand: the official text was
not found.
"""

from __future__ import annotations

from kb.intake.government.gather import Layout
from kb.intake.government.government_tab import TabFile

NAME = "manufacturer-communications"

read = TabFile(
    NAME,
    "manufacturer communications",
    Layout(width=14, key=0, make=7, model=8, year=9, summary=13, component=10),
    number=3,
    published=4,
).read
