import re
from html import unescape

import pytest
from django.urls import reverse
from django.utils import timezone

from diagnostics.changes import causes, sheets
from diagnostics.models.sheets import Finding
from diagnostics.reads.case import standing
from diagnostics.reads.judgement import latest
from garage.core import routes
from garage.reads.shop import the_shop
from tests.factories import garage, jobs
from tests.factories.diagnostics import FALSE_CEILING, PINKING, answered
from tests.forms import shown_and_folded

pytestmark = pytest.mark.django_db


@pytest.fixture
def mechanic(client):
    garage.shop()
    person = garage.person()
    client.force_login(person)
    return person


@pytest.fixture
def visit(mechanic):
    return garage.visit(machine=garage.machine(kind=garage.machine_kind()))


def findings_at(visit):
    return reverse("findings", args=[visit.number])


def test_the_page_is_the_workshop_s_alone(client, visit):
    assert client.get(findings_at(visit)).status_code == 200
    client.logout()
    assert client.get(findings_at(visit)).status_code == 302


def test_all_questions_are_on_one_page_with_giver_and_judgement(client, visit):
    assert "Nothing is judged yet" in client.get(findings_at(visit)).text
    answered(visit, FALSE_CEILING)
    page = client.get(findings_at(visit)).text
    assert "Judged: fix first" in page
    assert "It hits a ceiling and stutters there" in page
    assert page.count("the owner,") >= 7
    assert "Bench order" in page


def test_where_a_rule_decides_the_rule_stands_open_and_the_chances_folded(client, visit):
    answered(visit, PINKING)
    page = unescape(client.get(findings_at(visit)).text)
    open_words, folded = shown_and_folded(page)
    assert "it can hole a piston in a minute" in open_words
    assert "nobody holds it at full throttle" in open_words
    assert "Nothing wrong" in folded
    assert "Nothing wrong" not in open_words
    assert not re.search(r"points (a little|clearly|strongly)", open_words)
    assert not re.search(r"[0-9]%", open_words)
    assert "Roller-ready £" not in open_words


def test_the_boss_reads_verdict_three_reasons_and_what_each_way_costs_and_the_rest_is_folded(client, visit):
    answered(visit, FALSE_CEILING)
    page = unescape(client.get(findings_at(visit)).text)
    open_words, folded = shown_and_folded(page)
    assert "Judged: fix first" in open_words
    assert open_words.index("Judged: fix first") < open_words.index("Roller-ready £")
    for way in ("Roller-ready £", "Fix first £", "Phone first £"):
        assert way in open_words
    assert page.partition('class="reasons"')[2].partition("</ol>")[0].count("<li>") == 3
    assert page.count('class="main"') == 1
    assert "Nothing wrong" in folded
    assert "Bench order" in folded


def test_a_finding_is_recorded_by_the_workshop_or_in_the_owner_s_name(client, visit, mechanic):
    url = reverse("finding-record", args=[visit.number, "damp"])
    client.post(url, {"answer": "yes"})
    assert (standing(visit)["damp"].source, standing(visit)["damp"].by) == (Finding.WORKSHOP, mechanic)
    client.post(url, {"answer": "no", "source": "owner"})
    assert (standing(visit)["damp"].source, standing(visit)["damp"].by) == (Finding.OWNER, mechanic)


def test_an_invalid_answer_is_refused_and_nothing_is_recorded(client, visit):
    url = reverse("finding-record", args=[visit.number, "strobe_idle"])
    refused = client.post(url, {"answer": "99"})
    assert refused.status_code == 422
    assert 'value="99"' in refused.text
    assert not visit.findings.exists()
    assert client.post(reverse("finding-record", args=[visit.number, "gremlins"]), {"answer": "1"}).status_code == 404


def test_the_judgement_is_acted_upon_from_the_page(client, visit):
    answered(visit, FALSE_CEILING)
    sheets.send(visit, now=timezone.now())
    judgement = latest(visit)
    url = reverse("judgement-act", args=[visit.number, judgement.pk])
    without = client.post(url, {"route": routes.PHONE_FIRST})
    assert without.status_code == 422
    assert client.post(url).status_code == 302
    visit.refresh_from_db()
    assert visit.route == routes.FIX_FIRST
    assert client.post(url).status_code == 409


def test_the_judgement_is_set_aside_with_a_reason(client, visit):
    answered(visit, PINKING)
    url = reverse("judgement-leave", args=[visit.number, latest(visit).pk])
    assert client.post(url, {"why": ""}).status_code == 422
    assert client.post(url, {"why": "rang him: it was the exhaust guard"}).status_code == 302
    assert "Set aside" in client.get(findings_at(visit)).text


def test_a_judgement_of_another_visit_is_not_found(client, visit):
    answered(visit, PINKING)
    other = garage.visit()
    url = reverse("judgement-act", args=[other.number, latest(visit).pk])
    assert client.post(url).status_code == 404


def test_the_page_needs_few_queries(client, visit, django_assert_max_num_queries):
    answered(visit, FALSE_CEILING)
    with django_assert_max_num_queries(11):
        client.get(findings_at(visit))


def test_joint_and_contradictory_answers_are_named(client, visit):
    answered(
        visit, FALSE_CEILING | {"damp": "yes", "new_plug": "better", "earths": "clean-tight", "kill_lead": "better"}
    )
    page = unescape(client.get(findings_at(visit)).text)
    assert "<b>The high-tension side: plug, cap, lead or coil.</b>" in page
    assert "point to it together: " in page
    assert (
        "“Are the earth leads and their bolts clean and tight? Clean and tight” and "
        "“Is it better with the stop-switch lead unplugged? Better” contradict each other"
    ) in page


def test_the_expected_bench_minutes_are_priced_by_the_shops_minute(client, visit):
    shop = the_shop()
    shop.bench_minute_pence = 80
    shop.save()
    answered(visit, FALSE_CEILING)
    minutes = latest(visit).judgement.expected_bench_minutes
    page = client.get(findings_at(visit)).text
    assert f"About {minutes:.0f} min to clear it, £{minutes * 0.8:.2f} at £0.80 a minute." in page


def test_a_judgement_by_another_edition_is_shown_without_its_joint_answers(client, visit):
    answered(visit, FALSE_CEILING | {"damp": "yes", "new_plug": "better"})
    row = latest(visit)
    row.pk, row.edition = None, "an older one"
    row.save()
    page = client.get(findings_at(visit)).text
    assert "Judged: fix first" in page
    assert "point to it together" not in page


def test_a_finding_that_stops_the_machine_is_put_right_on_its_page_beside_the_owners_answer(client):
    by = garage.person(first_name="Jo")
    client.force_login(by)
    visit = jobs.judged_here(by, {"nipped": "yes", "rev_out": "clean"})
    address = reverse("finding-right", args=[visit.number, "nipped"])
    refused = client.post(address, {"words": "New intake rubber fitted."})
    assert refused.status_code == 409
    assert "Say on the card what it was" in refused.text
    assert "New intake rubber fitted.</textarea>" in refused.text
    causes.confirm(visit, fault="air-leak", by=by, now=timezone.now())
    right = client.post(address, {"words": "New intake rubber fitted."}, follow=True)
    assert right.redirect_chain == [(reverse("findings", args=[visit.number]) + "#nipped", 302)]
    assert "Found and put right: New intake rubber fitted." in right.text
    back = client.post(reverse("finding-unright", args=[visit.number, "nipped"]), follow=True)
    assert "Found and put right: New intake rubber fitted." not in back.text


def test_a_remark_is_told_by_telephone_and_put_right_on_the_page(client, visit, mechanic):
    told = client.post(reverse("remark-told", args=[visit.number]), {"remark": "leaks-petrol"}, follow=True)
    assert "It leaks petrol." in told.text
    assert "Judged: do not run" in told.text
    url = reverse("remark-put-right", args=[visit.number, "leaks-petrol"])
    refused = client.post(url, {"words": " "})
    assert refused.status_code == 422
    assert "what was found and what was done, 10 to 200" in refused.text
    done = client.post(url, {"words": "New tap seal."}, follow=True).text
    assert "Judged: do not run" not in done
    assert "New tap seal." in done
    assert mechanic.name in done
    assert client.post(url, {"words": "Again."}).status_code == 409


def test_the_visit_and_the_card_show_what_the_owner_says(client, visit, mechanic):
    client.post(reverse("remark-told", args=[visit.number]), {"remark": "brakes-or-tyres"})
    for name in ("visit", "card", "gate", "findings", "take-in"):
        assert "Its brakes or tyres are not safe to ride on." in client.get(reverse(name, args=[visit.number])).text


def test_no_remark_is_no_entry(client, visit):
    assert client.post(reverse("remark-told", args=[visit.number]), {"remark": ""}).status_code == 422
