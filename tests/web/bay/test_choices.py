"""A choice that no form offers is refused in a sentence, and what was typed stays."""

from __future__ import annotations

from kb.desk.context import RunningShop
from tests.web.conftest import SignIn


def test_a_choice_that_no_form_offers_is_refused_without_breaking(
    bay: RunningShop, signed_in: SignIn
) -> None:
    lead = signed_in("lead")
    event = {"module_1": "PCM", "duplicated_before": "yes", "road_test": "purple", "why_in_words": "x"}
    for on, action, typed in (
        ("/concerns/1/programming", "/concerns/1/programming", event),
        ("/shop/subscriptions", "/shop/subscriptions", {"make": "Norvane", "kind": "x", "price": "1"}),
    ):
        form = lead.see(on).form(action)
        answer = lead.client.post(action, data=form.fields | typed)
        assert answer.status_code == 422, action
        assert "tap one" in answer.text, action
