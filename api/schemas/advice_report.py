"""The body of the report on the advice."""

from __future__ import annotations

from api.schemas.base import Out
from kb.desk.review.advice_report import AdviceReport, ReliabilityBin, Saving, Skill


class AdviceReportOut(Out):
    """Frozen chances against what came. Below 30 outcomes there are numbers and no sentences."""

    n: int
    cannot_tell_yet: bool
    brier: float | None
    log_loss: float | None
    skill: Skill
    bins: tuple[ReliabilityBin, ...]
    calibration_p: float | None
    saved_against_reflash_first: Saving
    saved_against_diagnose_first: Saving
    sentences: tuple[str, ...]


def advice_report_out(report: AdviceReport) -> AdviceReportOut:
    return AdviceReportOut.of(
        report.chances,
        saved_against_reflash_first=report.against_reflash_first,
        saved_against_diagnose_first=report.against_diagnose_first,
        sentences=report.sentences,
    )
