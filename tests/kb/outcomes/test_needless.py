"""What a visit's money comes to: each amount in one place, whatever was agreed and paid."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from kb.outcomes.money.needless_reflash import Agreed, Paid, Settled, settled

amounts = st.integers(0, 500)
agreements = st.lists(
    st.builds(Agreed, amounts, st.sampled_from(["charge_stands", "credited", "no_charge"])), max_size=2
)
payments = st.lists(
    st.builds(
        Paid,
        st.sampled_from(["billed", "cost", "credited"]),
        amounts,
        st.sampled_from(["customer", "shop", "manufacturer"]),
    ),
    max_size=5,
)


@given(agreements, payments, st.lists(amounts, max_size=3))
def test_what_is_in_the_columns_is_on_file_and_nothing_is_there_twice(
    agreed: list[Agreed], paid: list[Paid], comebacks: list[int]
) -> None:
    found = settled(agreed, paid, comebacks)
    columns = found.billed + found.credited + found.borne
    on_file = sum(one.amount_minor for one in paid) + sum(one.amount_minor for one in agreed[-1:])
    assert min(found.billed, found.credited, found.borne) >= 0
    assert columns <= on_file
    assert bool(found.rests_on) or columns == 0
    if found.rests_on == "paid":
        bills = [one for one in paid if one.kind == "billed" and one.who_paid != "shop"]
        assert found.billed <= sum(one.amount_minor for one in bills)


def test_a_cost_written_down_with_the_comeback_too_stands_with_the_comeback_alone() -> None:
    costs = [Paid("cost", 80, "shop"), Paid("cost", 80, "shop"), Paid("cost", 30, "shop")]
    assert settled([], costs, [80]) == Settled(0, 0, 110, "paid")
    assert settled([], costs[:1], [80]) == Settled()
    assert settled([Agreed(200, "credited")], costs[:1], [80]) == Settled(0, 200, 0, "agreed")


def test_the_last_agreement_counts_until_something_was_billed_or_credited() -> None:
    agreed = [Agreed(100, "charge_stands"), Agreed(250, "no_charge")]
    assert settled(agreed, [], []) == Settled(0, 0, 250, "agreed")
    assert settled(agreed, [Paid("billed", 40, "customer")], []) == Settled(40, 0, 0, "paid")
    assert settled(agreed, [Paid("billed", 40, "shop")], []) == Settled(0, 0, 40, "paid")
