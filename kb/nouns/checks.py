"""Diagnostic checks: what to do, two result words, and what each is believed to tell."""

from __future__ import annotations

from dataclasses import dataclass

from kb.nouns.advice_inputs import CheckDefinition
from kb.nouns.advice_settings import Guess
from kb.nouns.bay.measures import Measure
from kb.nouns.copying import copied
from kb.nouns.currency import to_major
from kb.nouns.starting_checks import System

LONGEST = 10_080
"""Minutes that a check may take or wait: a week."""
LONGEST_SAID = f"from 0 to {LONGEST:,} minutes, a week"


@dataclass(frozen=True, slots=True)
class CheckDraft:
    """A check before it is saved.

    `name` is what to do, `yes_word` and `no_word` its own two results. `yes_in_10_cured` and
    `yes_in_10_not`: of 10 concerns that an update cured (or did not), how many say yes; the guess is worth
    `weight` vehicles. `told_with` names a group of checks that tell much the same. `wait_minutes` is time
    that passes without work; `repair` what to do where its result against an update names a fault. It speaks
    for notes of its `system` ("all": every note), and for the notes of `attached_to` whatever their system.
    `measure`: how a number decides its result, where it has one.
    """

    name: str
    question: str
    yes_word: str
    no_word: str
    yes_in_10_cured: float
    yes_in_10_not: float
    system: str = System.ALL.value
    minutes: float = 0.0
    wait_minutes: float = 0.0
    needs: str = ""
    told_with: str = ""
    caution: str = ""
    repair: str = ""
    cost_minor: int = 0
    saved_minor: int = 0
    weight: float = 4.0
    source_line: str = ""
    attached_to: tuple[int, ...] = ()
    measure: Measure | None = None


@dataclass(frozen=True, slots=True)
class CheckView:
    """A check as it stands. `key` never changes; `author` wrote the guess."""

    id: int
    key: str
    version: int
    author: str
    retired: bool
    content: CheckDraft

    @property
    def of_notes(self) -> bool:
        """Whether it speaks for the notes that it is attached to and for no others."""
        return self.content.system == System.NOTE.value

    def definition(self, currency: str) -> CheckDefinition:
        """The check as the advice takes it, money in whole units."""
        content = self.content
        return copied(
            CheckDefinition,
            content,
            key=self.key,
            yes_if_cured=Guess(content.yes_in_10_cured, content.weight, self.author),
            yes_if_not=Guess(content.yes_in_10_not, content.weight, self.author),
            cost=to_major(content.cost_minor, currency),
            group=content.told_with,
            saved_from_diagnosis=to_major(content.saved_minor, currency),
        )
