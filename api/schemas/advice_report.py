"""The body of the report on the advice."""

from __future__ import annotations

from api.schemas.base import Out
from kb.desk.review.advice_report import AdviceReport


class SkillOut(Out):
    """1 - Brier / Brier of the simpler forecast: above 0 is better."""

    against_reflash_first: float | None
    against_diagnose_first: float | None
    against_base_rate: float | None


class BinOut(Out):
    low: float
    high: float
    n: int
    mean_chance: float
    share_cured: float
    interval: tuple[float, float]


class SavingOut(Out):
    """The plain sum of what was saved on so many concerns, with its interval; negative is lost."""

    concerns: int
    saved: float
    interval: tuple[float, float]


class AdviceReportOut(Out):
    """Frozen chances against what came. Below 30 outcomes there are numbers and no sentences."""

    n: int
    cannot_tell_yet: bool
    brier: float | None
    log_loss: float | None
    skill: SkillOut
    bins: list[BinOut]
    calibration_p: float | None
    saved_against_reflash_first: SavingOut
    saved_against_diagnose_first: SavingOut
    sentences: list[str]


def advice_report_out(report: AdviceReport) -> AdviceReportOut:
    told = report.chances
    audited = ("n", "cannot_tell_yet", "brier", "log_loss", "skill", "bins", "calibration_p")
    return AdviceReportOut.model_validate(
        {name: getattr(told, name) for name in audited}
        | {
            "saved_against_reflash_first": report.against_reflash_first,
            "saved_against_diagnose_first": report.against_diagnose_first,
            "sentences": report.sentences,
        }
    )
