"""What counts as evidence, and what it is worth."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from scipy.special import logit
from sklearn.naive_bayes import BernoulliNB

from kb.advice.chances import starting_chance
from kb.advice.chances.belief import Beta
from kb.advice.chances.checks_alike import agreeing, grouped
from kb.advice.chances.evidence import CheckBelief, EvidenceCounts, counted, log_ratio, stronger_only
from kb.advice.chances.learn import Learned, learn
from kb.advice.chances.shared_chance import shares
from kb.nouns.advice import AdviceSettings, CarryOver, Guess, InWindow, PastConcern
from kb.nouns.concerns import FindingResult
from tests.kb.advice.makers import ANSWERED, DECIDED, check, finding, past

YES, NO = FindingResult.YES, FindingResult.NO
SETTINGS = AdviceSettings()
LEAK = check("leak")


def learned(*concerns: PastConcern) -> Learned:
    return learn(concerns, (LEAK,), SETTINGS)


def counts(*concerns: PastConcern) -> EvidenceCounts:
    return learned(*concerns).checks["leak"].counts


def test_likelihood_ratios_of_a_published_table() -> None:
    """check_values 8.1 (from memory there): TP 20, FP 180, FN 10, TN 1820: LR+ 7.41, LR- 0.366."""
    belief = CheckBelief(Beta(20, 10), Beta(180, 1820), EvidenceCounts())
    assert math.exp(log_ratio(belief, said_yes=True)) == pytest.approx(7.40741, abs=5e-6)
    assert math.exp(log_ratio(belief, said_yes=False)) == pytest.approx(0.3663, abs=5e-5)


def test_odds_times_likelihood_ratios() -> None:
    """check_values 8.2 (Fagan 1975) and 8.3: sequential odds .517, .763, .243."""
    assert shares(np.array([logit(0.5) + math.log(6)]))[0] == pytest.approx(0.857143, abs=5e-7)
    odds, seen = logit(0.3), []
    for ratio in (2.5, 3.0, 0.1):
        odds += math.log(ratio)
        seen.append(shares(np.array([odds]))[0])
    assert seen == pytest.approx([0.517241, 0.762712, 0.243243], abs=5e-7)


def test_several_updates_share_by_odds() -> None:
    """P_k = o_k / (1 + sum o): .5 and .5 alone become a third each, and a third for something else."""
    assert shares(logit(np.array([0.5, 0.5]))) == pytest.approx([1 / 3, 1 / 3, 1 / 3])
    assert shares(logit(np.array([0.8]))) == pytest.approx([0.8, 0.2])


def test_summed_evidence_is_naive_bayes() -> None:
    """scikit-learn's BernoulliNB with alpha 1; a guess of 5 of 10 at weight 2 is Beta(1, 1)."""
    random, keys = np.random.default_rng(5), ("a", "b", "c", "d")
    cured = random.random(60) < 0.4
    table = random.random((60, 4)) < np.where(cured[:, None], 0.7, 0.35)
    flat = Guess(5, 2)
    checks = tuple(check(k, yes_if_cured=flat, yes_if_not=flat) for k in keys)
    concerns = [
        past(i, 1 if cured[i] else None, tuple(finding(k, YES if v else NO) for k, v in zip(keys, row)))  # noqa: B905
        for i, row in enumerate(table)
    ]
    beliefs = learn(concerns, checks, SETTINGS).checks
    model = BernoulliNB(alpha=1.0).fit(table, cured)
    for row in table[:12]:
        mine = sum(log_ratio(beliefs[k], said_yes=bool(v)) for k, v in zip(keys, row, strict=True))
        theirs = model.predict_log_proba(row[None])[0] - model.class_log_prior_
        assert mine == pytest.approx(theirs[1] - theirs[0])


def test_a_finding_counts_under_the_answer_it_preceded() -> None:
    got = counts(past(1, 1, (finding("leak", YES),)), past(2, None, (finding("leak", NO),)))
    assert got == EvidenceCounts(yes_if_cured=1, cured=1, yes_if_not=0, not_cured=1)


@pytest.mark.parametrize(
    "concern",
    [
        past(1, 1, (finding("leak", YES, ANSWERED),)),
        past(1, 1, (finding("leak", YES, ANSWERED + timedelta(days=1)),)),
        past(1, 1, (finding("leak", FindingResult.NOT_DONE),)),
        past(1, 1, (finding("leak", FindingResult.INCONCLUSIVE),)),
        past(1, 1, (finding("leak", YES, answered_already=True),)),
        past(1, 1, (finding("leak", YES, attached=()),)),
        past(1, 1, (finding("leak", YES),), other_work=True),
        past(1, None, (finding("leak", YES),), answer_known=False),
    ],
    ids=[
        "at the answer",
        "after",
        "not done",
        "inconclusive",
        "answered already",
        "unattached",
        "other work",
        "open",
    ],
)
def test_what_does_not_count_as_evidence(concern: PastConcern) -> None:
    assert counts(concern).total == 0


def test_each_concern_counts_once_per_check_by_its_last_result() -> None:
    twice = (finding("leak", NO), finding("leak", YES, DECIDED))
    assert counts(past(1, 1, twice)) == EvidenceCounts(yes_if_cured=1, cured=1)


def test_a_cure_by_an_update_the_check_is_not_attached_to_counts_as_not_cured() -> None:
    concern = past(1, 2, (finding("leak", YES, attached=(1,)),), updates=(1, 2))
    assert counts(concern) == EvidenceCounts(yes_if_not=1, not_cured=1)


def test_a_cure_by_another_update_says_nothing_of_this_one_against_something_else() -> None:
    got = learned(past(1, 2, updates=(1, 2)), past(2, None), past(3, 1))
    assert (got.record(1).cured, got.record(1).not_cured) == (1, 1)
    assert (got.record(2).cured, got.record(2).not_cured) == (1, 0)


def test_two_updates_of_which_one_always_cures_share_nearly_everything() -> None:
    """Counted as failures of each other they would leave a third for something else that never came."""
    got = learned(*(past(i, 1 + i % 2, updates=(1, 2)) for i in range(60)))
    starts = np.array([starting_chance.mean(got.starts, u) for u in (1, 2)])
    assert shares(logit(starts)) == pytest.approx([0.5, 0.5, 0.0], abs=0.02)


def test_other_work_leaves_an_updates_record_untouched() -> None:
    assert learned(past(1, 1, other_work=True)).starts[0].records == {}


def test_the_longer_a_vehicle_stays_free_the_more_its_open_window_speaks_for_the_update() -> None:
    def chance(days: int) -> float:
        seen = past(1, None, answer_known=False, in_window=(InWindow(1, 0, days),))
        return starting_chance.mean(learned(seen).starts, 1)

    assert chance(1) < chance(30) < chance(80)
    assert chance(1) > starting_chance.mean(learned().starts, 1) - 1e-9


def test_a_newer_calibration_starts_from_the_record_it_replaced_at_reduced_weight() -> None:
    concerns = [past(i, 1) for i in range(4)]
    got = learn(concerns, (), SETTINGS, carry_overs=(CarryOver(9, 1),))
    assert got.record(9).cured == pytest.approx(4 * SETTINGS.carry_over)
    assert got.record(1).cured == 4


def test_checks_that_agree_count_the_stronger_only_and_the_lead_is_told() -> None:
    """22 concerns in full agreement: phi 1, n >= 20."""
    concerns = [
        past(i, 1, (finding("leak", result), finding("trim", result)))
        for i, result in enumerate([YES, NO] * 11)
    ]
    both = (LEAK, check("trim", 4.0, 5.0))
    got = learn(concerns, both, SETTINGS)
    assert got.alike == {("leak", "trim")}
    assert "Leak" in got.lead_notices[0]
    assert stronger_only({"leak": 2.0, "trim": 0.3}, ("leak", "trim"), got.alike) == {"trim": "leak"}


def test_phi_is_the_correlation_of_the_findings() -> None:
    """numpy.corrcoef on the yes/no columns."""
    random = np.random.default_rng(2)
    first = random.random(60) < 0.5
    second = np.where(random.random(60) < 0.85, first, ~first)
    concerns = [
        past(i, None, (finding("leak", YES if x else NO), finding("trim", YES if y else NO)))
        for i, (x, y) in enumerate(zip(first, second, strict=True))
    ]
    (pair,) = agreeing(counted(concerns), SETTINGS)
    assert pair.phi == pytest.approx(np.corrcoef(first, second)[0, 1])
    assert pair.together == 60
    assert agreeing(counted(concerns[:19]), SETTINGS) == ()


def test_checks_in_the_leads_group_are_alike_without_counts() -> None:
    checks = (check("a", group="air"), check("b", group="air"), check("c", group="fuel"), check("d"))
    assert grouped(checks) == {("a", "b")}


def test_one_surprising_outcome_moves_a_check_by_no_more_than_its_weight_allows() -> None:
    """A Beta of total weight w moves by at most (1 - mean) / (w + 1)."""
    before = learned(*(past(i, 1, (finding("leak", NO),)) for i in range(10)))
    after = learned(
        *(past(i, 1, (finding("leak", NO),)) for i in range(10)), past(11, 1, (finding("leak", YES),))
    )
    mean, weight = before.checks["leak"].yes_if_cured.mean, 8 + 10
    moved = after.checks["leak"].yes_if_cured.mean - mean
    assert 0 < moved <= (1 - mean) / (weight + 1) + 1e-12


def test_tempering_learns_from_concerns_with_themselves_left_out() -> None:
    """Coin-flip findings: each looks telling within its own counts; left out, the pushes predict nothing."""
    random = np.random.default_rng(8)
    keys = tuple("abcdefgh")
    checks = tuple(check(k, yes_if_cured=Guess(5, 1), yes_if_not=Guess(5, 1)) for k in keys)
    concerns = [
        past(
            i,
            1 if random.random() < 0.5 else None,
            tuple(finding(k, YES if random.random() < 0.5 else NO) for k in keys),
        )
        for i in range(40)
    ]
    assert learn(concerns, checks, SETTINGS).tempering.b < 0.85


def test_what_was_found_after_the_decision_is_no_part_of_the_advice_it_is_judged_by() -> None:
    late = replace(finding("leak", YES), recorded_at=DECIDED + timedelta(days=1))
    plain = learned(past(1, 1), past(2, None))
    also_late = learned(past(1, 1, (late,)), past(2, None))
    assert also_late.tempering == plain.tempering
    assert also_late.checks["leak"].counts.total == 1
