"""An alarm stands on top of the review, and what was answered to it stays there with a name."""

from __future__ import annotations

from datetime import timedelta

from kb.desk.context import RunningShop
from tests.api.review.test_alarms import history as gone_bad
from tests.conftest import StandingClock
from tests.kb.desk.imports.importing import ROW, table, take
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
    assert "worse than the shop, since" in top
    assert "worse than it was, since" in top
    assert "one in 610 reflashes where updates cured alike, one in 150 where they differed" in page.text
    assert "look first at NV-25-7" in page.text.split("More comebacks than")[0]
    assert "NV-25-7: worse than it was" in owner.see("/concerns").text
    assert "worse than" not in signed_in("tech").see("/concerns").text
    [action] = {form.action for form in page.forms if form.action.startswith("/review/alarms/")}
    update = action.rsplit("/", 1)[1]
    refused = owner.send("/review", action, {"remark": "  ", "which": "past"}, expect=422)
    assert "Say what you do about it" in refused.text
    assert "Worse than it was: of" in refused.text

    halves = f"/review/compare?first={update}&day={clock().date() - timedelta(130)}"
    assert "▲ NV-25-7: worse than it was since" in owner.see(halves).text

    after = owner.send("/review", action, {"remark": "smoke test first", "which": "shop"})
    assert "“smoke test first”" in after.text
    assert "▲ worse than the shop" not in after.text
    assert "▲ worse than it was" in after.text
    told = owner.see(f"/review/updates/{update}").text
    assert "Alarm “worse than the shop” answered" in told
    assert "Worse than it was: of" in told

    last = owner.send("/review", action, {"remark": "asked the maker", "which": "past"})
    assert "Alarms answered" in last.text
    assert "▲" not in last.text
    assert "“asked the maker”" in owner.see(f"/review/updates/{update}").text
    assert "worse than" not in owner.see("/concerns").text
    assert "▲" not in owner.see(halves).text


def test_page_and_file_hold_the_updates_in_one_order_the_best_first(
    sqlite_shop: RunningShop, signed_in: SignIn, clock: StandingClock
) -> None:
    """Seven in eight cured before 17 of 30, though the worse one was brought in first."""
    rows = gone_bad(clock().date())[::-1]
    columns = tuple(dict.fromkeys(name for row in rows for name in row))
    take(sqlite_shop, "history", table((*columns, *(set(ROW) - set(columns))), *rows))
    owner = signed_in("owner")
    shown = owner.see("/review").html.split("<tbody>")[1]
    assert shown.index("NV-24-101") < shown.index("NV-25-7")
    owner.see("/review/tables/reflashes.csv")
    assert owner.answer is not None
    lines = owner.answer.text.splitlines()
    assert [line.split(",")[0] for line in lines] == ["update", "NV-24-101", "NV-25-7", "shop"]
