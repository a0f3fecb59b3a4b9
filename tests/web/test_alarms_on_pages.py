"""An alarm stands on top of the review, and what was answered to it stays there with a name."""

from __future__ import annotations

from kb.desk.context import RunningShop
from tests.api.test_alarms import history as gone_bad
from tests.conftest import StandingClock
from tests.kb.desk.importing import ROW, table, take
from tests.web.conftest import SignIn


def test_an_alarm_is_answered_on_the_page_and_the_answer_stays(
    sqlite_shop: RunningShop, signed_in: SignIn, clock: StandingClock
) -> None:
    rows = gone_bad(clock().date())
    columns = tuple(dict.fromkeys(name for row in rows for name in row))
    take(sqlite_shop, "history", table((*columns, *(set(ROW) - set(columns))), *rows))
    owner = signed_in("owner")
    page = owner.see("/review")
    top = page.html.split('id="watch"')[1].split("<table")[0]
    assert "NV-25-7" in top
    assert "NV-24-101" not in top
    [action] = [form.action for form in page.forms if form.action.startswith("/review/alarms/")]
    refused = owner.send("/review", action, {"remark": "  "}, expect=422)
    assert "Say what you do about it" in refused.text
    after = owner.send("/review", action, {"remark": "smoke test first"})
    assert "Alarms answered" in after.text
    assert "“smoke test first”" in after.text
    assert "more comebacks than bad luck explains" not in after.text
    update = action.rsplit("/", 1)[1]
    assert "“smoke test first”" in owner.see(f"/review/updates/{update}").text
