"""Everything the ranking can be tuned by, in one value."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType

FIELDS = ("title", "drawn_title", "symptom", "body", "document", "codes", "modules", "vehicle")
"""Kinds of text in the order of their numbers. A title of a note with documents was drawn from them."""


@dataclass(frozen=True, slots=True)
class FieldWeight:
    """Weight of a kind of text and how much its length counts (b: 0 not at all, 1 fully)."""

    weight: float
    b: float


def _field_weights() -> Mapping[str, FieldWeight]:
    return MappingProxyType(
        {
            "title": FieldWeight(2.0, 0.1),
            "drawn_title": FieldWeight(0.6, 0.1),
            "symptom": FieldWeight(1.5, 0.1),
            "body": FieldWeight(1.0, 0.1),
            "document": FieldWeight(1.0, 0.1),
            "codes": FieldWeight(2.0, 0.0),
            "modules": FieldWeight(1.5, 0.0),
            "vehicle": FieldWeight(0.5, 0.0),
        }
    )


def _kind_weights() -> Mapping[str, float]:
    return MappingProxyType(
        {
            "symptom": 0.75, "condition": 0.55, "system": 1.2, "part": 0.8, "lamp": 0.7, "action": 0.55,
            "cause": 1.3, "vehicle": 0.95, "filler": 0.6,
        }
    )  # fmt: skip


@dataclass(frozen=True)
class Weights:
    """Everything the ranking can be tuned by; found by tests/bench/tune.py with cross-validation and rounded.

    A score is the sum over terms of factor · rarity^`sharpness` · impact, times what the note is worth:
    (distinct stems of the note)^-`brevity` · (1 + `remedy` · how much the note speaks of software). The last
    is there because this is a shop's memory for reprogramming.
    """

    k1: float = 0.2
    pool: float = 0.25
    """A note's d documents count d^-pool each: 0 adds them up, 1 takes their mean."""
    word: float = 0.35
    """A typed word that the lexicon knows, beside the concept it names."""
    plain: float = 0.85
    """A typed word that the lexicon does not know: all there is to go by."""
    other: float = 0.85
    """A second or third reading of a misspelled word counts this much of the first."""
    concept: float = 1.25
    said: float = 1.0
    heard: float = 0.001
    """What only helps to tell what a note is about: enough to find the note, too little to move it."""
    near: float = 0.25
    near_with_vehicle: float = 0.42
    shared: float = 1.2
    """A phrase that may mean n concepts counts n^-shared for each."""
    inside: float = 0.55
    """A phrase inside a longer one that was found ("hood" in "under the hood") counts this much."""
    inside_with_vehicle: float = 0.8
    again: float = 0.4
    """A concept named twice in other words counts this much of the second."""
    overlap: float = 1.35
    """How the readings of one typed word add up (kb/search/scoring.py)."""
    code: float = 2.5
    related_code: float = 1.0
    sharpness: float = 0.8
    sharpness_with_vehicle: float = 1.2
    brevity: float = 0.13
    brevity_with_vehicle: float = 0.58
    """With the vehicle known a handful of notes compete, and the short ones must not lose to the long."""
    remedy: float = 0.25
    remedy_with_vehicle: float = 0.3
    cause_with_vehicle: float = 0.75
    """In the place of what `kinds` has for a cause: what parts the notes of a whole file, not a handful."""
    symptom_with_vehicle: float = 0.9
    system_with_vehicle: float = 1.0
    part_with_vehicle: float = 0.72
    plain_with_vehicle: float = 0.77
    word_with_vehicle: float = 0.4
    vehicle_with_vehicle: float = 0.1
    """In the place of that for a vehicle: all that are left are for the one that "my truck" means."""
    cannot_tell: float = 0.6
    other_model: float = 0.3
    """Another model of the vehicle's family: seen, but never before a note that names the model."""
    not_applying: float = 0.1
    fields: Mapping[str, FieldWeight] = field(default_factory=_field_weights)
    kinds: Mapping[str, float] = field(default_factory=_kind_weights)

    def where(self, vehicle_known: bool) -> Weights:
        """The weights of a query: where anything of the vehicle is known, those named so take their place."""
        return self._with_vehicle if vehicle_known else self

    @cached_property
    def _with_vehicle(self) -> Weights:
        return replace(
            self,
            sharpness=self.sharpness_with_vehicle,
            brevity=self.brevity_with_vehicle,
            remedy=self.remedy_with_vehicle,
            inside=self.inside_with_vehicle,
            near=self.near_with_vehicle,
            plain=self.plain_with_vehicle,
            word=self.word_with_vehicle,
            kinds={
                **self.kinds,
                "symptom": self.symptom_with_vehicle,
                "system": self.system_with_vehicle,
                "part": self.part_with_vehicle,
                "cause": self.cause_with_vehicle,
                "vehicle": self.vehicle_with_vehicle,
            },
        )
