"""Families of model names: those that come with the program, and what the shop joined or took apart."""

from __future__ import annotations

from kb.desk.context import Desk
from kb.vehicle.families import Families, families_on_file


def in_force(desk: Desk) -> Families:
    """The families that names of models are read by."""
    return families_on_file()
