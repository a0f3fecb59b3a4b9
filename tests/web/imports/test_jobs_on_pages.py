"""Jobs of the technician, the lead and the owner, done through the pages without JavaScript."""

from __future__ import annotations

from kb.desk.context import RunningShop
from tests.conftest import StandingClock
from tests.web.conftest import SignIn


def test_a_stop_is_passed_only_with_a_reason_and_the_name_stands_on_prep_and_paper(
    bay: RunningShop, signed_in: SignIn
) -> None:
    tech = signed_in("tech")
    tech.send("/concerns/1", "/concerns/1/gates", {"gate": "battery", "result": "fault"})
    stopped = tech.see("/concerns/1")
    assert "Stop: Battery or charging is not good enough to program." in stopped.text
    refused = tech.send("/concerns/1", "/concerns/1/lift", {"reason": "  "}, expect=422)
    assert "only with a reason" in refused.text
    tech.send("/concerns/1", "/concerns/1/lift", {"reason": "new battery goes in tomorrow"})
    assert "Stop: Battery" not in tech.see("/concerns/1").text
    for path in ("/concerns/1/prep", "/concerns/1/print"):
        page = tech.see(path).text
        assert "new battery goes in tomorrow" in page, path
        assert "Technician" in page, path


def test_failed_programming_keeps_the_exact_error_and_who_was_called(
    bay: RunningShop, signed_in: SignIn
) -> None:
    tech = signed_in("tech")
    steps = tech.see("/concerns/1/failed").text
    orders = ("Leave key", "Don't close the session", "Photograph", "recovery steps", "No other tool", "lead")
    found = [steps.index(one) for one in orders]
    assert found == sorted(found)
    typed = {
        "module_1": "PCM",
        "result_1": "stopped",
        "error_1": "E-0447: block 12 NOT verified <0x7F>",
        "who_was_called": "manufacturer's help line",
        "duplicated_before": "yes",
        "why_in_words": "seen it before",
    }
    page = tech.send("/concerns/1/programming?result=stopped", "/concerns/1/programming", typed)
    assert "Tell the lead." in page.text
    assert "E-0447: block 12 NOT verified <0x7F>" in page.text
    assert "E-0447: block 12 NOT verified <0x7F>" in tech.see("/concerns/1/print").text


def test_an_event_needs_what_counts_and_keeps_the_rest(bay: RunningShop, signed_in: SignIn) -> None:
    typed = {"module_1": "PCM", "result_1": "completed", "other_work": ["fluid service"], "minutes": "75"}
    tech = signed_in("tech")
    page = tech.send("/concerns/1/programming", "/concerns/1/programming", typed, expect=422)
    assert "seen before the reflash" in page.text
    form = page.form("/concerns/1/programming").fields
    assert (form["minutes"], form["other_work"]) == (["75"], ["fluid service"])


def test_other_work_in_the_same_visit_is_said_and_takes_the_reflash_out_of_the_rate(
    bay: RunningShop, signed_in: SignIn, clock: StandingClock
) -> None:
    typed = {
        "module_1": "PCM",
        "result_1": "completed",
        "duplicated_before": "yes",
        "road_test": "gone",
        "other_work": ["spark plugs or coils"],
        "why_in_words": "customer insists",
    }
    tech = signed_in("tech")
    tech.send("/concerns/1/programming", "/concerns/1/programming", typed)
    assert "nobody can say what cured it" in tech.see("/concerns/1").text
    clock.move(days=100)
    page = signed_in("owner").see("/review")
    row = page.html.split("NV-24-101")[1].split("</tr>")[0]
    assert 'data-is="done">0<' in row
    assert 'data-is="plain">not known<' in row


def test_the_customers_paper_says_what_was_agreed(bay: RunningShop, signed_in: SignIn) -> None:
    tech = signed_in("tech")
    assert "No price is agreed yet" in tech.see("/concerns/1/paper").text
    typed = {"amount": "$1,180.50", "who": "Mr. Tovar", "how": "phone", "if_not_cured": "credited"}
    tech.send("/concerns/1/authorization", "/concerns/1/authorization", typed)
    paper = tech.see("/concerns/1/paper").text
    assert "up to $1,180.50" in paper
    assert "credited" in paper
    assert "may not cure" in paper


def test_exact_entries_are_found_by_ro_number_and_mark_capitals_zeros_and_spaces(
    bay: RunningShop, signed_in: SignIn
) -> None:
    page = signed_in("tech").see("/exact?ro=ro 2087-a")
    entry = page.html.split("<output>")[1].split("</output>")[0]
    assert entry == (
        '<span class="capital">N</span>v<span class="capital">T</span><span class="space"> </span>'
        '1<span class="zero">0</span>-<span class="capital">B</span>'
    )
    assert {"data-copy": "NvT 10-B"}.items() <= page.all("button")[1].items()


def test_a_file_comes_in_with_its_bad_rows_listed_and_goes_out_again(
    bay: RunningShop, signed_in: SignIn
) -> None:
    lead = signed_in("lead")
    rows = (
        "Order No,line,opened_on,vin,make,model,year,complaint,update,event,reflashed_on,gone_at_road_test\n"
        "9001,A,2026-05-01,,Norvane,Tessel,2019,bucks,NV-24-101,reflash,2026-05-02,yes\n"
        "9002,A,not a day,,Norvane,Tessel,2019,bucks,NV-24-101,reflash,2026-05-02,yes\n"
    )
    file = ("history.csv", rows.encode(), "text/csv")
    looked = lead.send("/imports", "/imports", {"format": "history"}, file=file)
    assert "1 new" in looked.text
    assert "RO 9001-A" in looked.text
    assert "RO 9001-A" not in lead.see("/concerns?state=all").text
    job = lead.send("/imports/waiting/1", "/imports/waiting/1", {"do": "bring_in"})
    assert "1 new" in job.text
    assert "opened_on" in job.text
    assert "RO 9001-A" in lead.see("/concerns?state=all").text
    undone = lead.send("/imports/1", "/imports/1/undo")
    assert "Undone" in undone.text
    assert "RO 9001-A" not in lead.see("/concerns?state=all").text


def test_a_file_of_which_nothing_can_be_read_leaves_no_import(bay: RunningShop, signed_in: SignIn) -> None:
    file = ("x.csv", b"\x00\x01\x02", "text/csv")
    page = signed_in("lead").send("/imports", "/imports", {"format": "history"}, expect=422, file=file)
    assert "None yet." in page.text


def test_shop_talk_that_a_lead_adds_finds_the_bulletin_with_the_next_search(
    bay: RunningShop, signed_in: SignIn
) -> None:
    lead = signed_in("lead")
    assert "NV-24-101" not in lead.see("/search?q=wobblegoggles").text
    lead.send("/lexicon", "/lexicon", {"phrase": "wobblegoggles", "concept": "surge"})
    assert "NV-24-101" in lead.see("/search?q=wobblegoggles").text
    lead.send("/lexicon", "/lexicon/1/undo")
    assert "NV-24-101" not in lead.see("/search?q=wobblegoggles").text


def test_a_dearer_labor_rate_makes_the_next_advice_dearer_and_names_its_source(
    bay: RunningShop, signed_in: SignIn
) -> None:
    lead = signed_in("lead")
    action = "/shop/settings/labor_rate_minor_per_hour"
    refused = lead.send("/shop/settings", action, {"value": "lots"}, expect=422)
    assert refused.form(action).fields["value"] == ["lots"]
    lead.send("/shop/settings", action, {"value": "300", "source_line": "our price list of May"})
    assert "our price list of May" in lead.see("/shop/settings").text
    # Diagnosis to a conclusion takes 150 minutes at the start: 2.5 hours at $300.
    assert "$750" in lead.see("/concerns/1").text


def test_a_technician_reads_the_set_up_and_may_not_change_it(bay: RunningShop, signed_in: SignIn) -> None:
    tech = signed_in("tech")
    for path in ("/shop/settings", "/shop/checks/1", "/shop/equipment", "/shop/requirements", "/shop/people"):
        posts = [form.action for form in tech.see(path).forms if form.method == "post"]
        assert [one for one in posts if one not in {"/sign-out", "/shop/checks/1"}] == [], path
    token = tech.see("/shop").form("/sign-out").fields["form_token"]
    answer = tech.client.post("/shop/equipment", data={"form_token": token, "kind": "computer", "name": "x"})
    assert answer.status_code == 403
    assert "signed in as technician" in answer.text


def test_the_what_if_page_finds_the_plan_that_pruning_at_the_root_would_miss(
    bay: RunningShop, signed_in: SignIn
) -> None:
    """The design's own counter-example: chance .05, costs 100, 300, 20; exact cost 295.24."""
    typed = {
        "update_1": "U",
        "chance_1": "5",
        "cost_1": "100",
        "diagnosis_cost": "300",
        "rework_cost": "20",
        "check_1": "cheap",
        "cured_1": "9",
        "not_1": "1",
        "check_cost_1": "1",
        "check_2": "strong",
        "cured_2": "9.8",
        "not_2": "0.2",
        "check_cost_2": "16",
    }
    page = signed_in("tech").send("/what-if", "/what-if", typed)
    costs = page.html.split("Expected cost")[1].split("</table>")[0]
    assert '<td class="nums">$295</td>' in costs
    assert "Check first: cheap" in page.text
