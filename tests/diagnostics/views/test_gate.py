import pytest
from django.urls import reverse
from django.utils import timezone

from diagnostics.changes import causes, findings, readings, way_back
from diagnostics.core.gate_list import AT_BENCH, BENCH_LINES, STRAPPED_DOWN, STRAPPED_LINES
from diagnostics.core.readings import read_reading
from diagnostics.models.gates import Gate
from diagnostics.models.sheets import Finding, Sheet
from garage.changes.day import planned_steps
from garage.changes.visit import floor
from garage.core import states
from garage.core.text.unbroken import kept_together
from garage.models.people import Person
from garage.reads.shop import the_shop
from tests.factories import garage
from tests.factories.diagnostics import gate_answered, gate_ended, gate_over

pytestmark = pytest.mark.django_db

TYPED = {
    "compression": {"value": "9.5", "unit": "bar"},
    "strobe": {"result": "save", "idle_rpm": "1400", "idle_deg": "17", "peak_rpm": "9000", "peak_deg": "16.5"},
    "rev-out": {"result": "clean"},
    "highest-revs": {"result": "na"},
}


@pytest.fixture
def mechanic(client):
    garage.shop()
    person = garage.person()
    client.force_login(person)
    return person


@pytest.fixture
def visit(mechanic):
    visit = garage.visit(machine=garage.machine(kind=garage.machine_kind()), state=states.HERE)
    visit.arrived_at = visit.booked_at
    visit.save()
    planned_steps.plan_booked(visit, the_shop())
    return visit


def at(name, visit, *more):
    return reverse(name, args=[visit.number, *more])


def answer(client, visit, line, *, htmx=False, **given):
    values = {"result": "ok"} | TYPED.get(line, {}) | given
    if line == "second-person":
        values |= {
            "second_person": (Person.objects.filter(first_name="Jo").first() or garage.person(first_name="Jo")).pk
        }
    return client.post(at("gate-answer", visit, line), values, headers={"HX-Request": "true"} if htmx else {})


def test_the_gate_is_begun_answered_line_by_line_and_passed(client, visit):
    assert answer(client, visit, "leaks").status_code == 409
    client.post(at("gate-begin", visit))
    assert "The throttle opens fully" in client.get(at("gate", visit)).text
    for line in BENCH_LINES:
        assert answer(client, visit, line.id).status_code == 302, line
    client.post(at("gate-bench-end", visit))
    visit.refresh_from_db()
    assert (visit.gate_at_bench_passed_at is not None, visit.gate_passed_at) == (True, None)
    assert "It stands on Roller 1" in client.get(at("gate", visit)).text
    client.post(at("gate-on", visit), {"station": "1"})
    for line in STRAPPED_LINES:
        assert answer(client, visit, line.id).status_code == 302, line
    client.post(at("gate-end", visit))
    visit.refresh_from_db()
    assert visit.gate_passed_at
    page = client.get(at("gate", visit)).text
    assert "Passed" in page
    assert "Start set-up at Roller 1" in page  # the next thing is the rollers
    client.post(reverse("step-begin", args=[visit.steps.get(at="roller").pk]), {"station": "1"})
    assert visit.steps.get(at="roller").began_at


@pytest.mark.parametrize(
    ("line", "given", "kept"),
    [
        ("tyre", {"result": "", "words": "near its limit"}, "near its limit"),
        ("compression", {"value": "", "words": "no adapter"}, "no adapter"),
        ("compression", {"result": "na", "value": "8.7"}, "8.7"),
        ("strobe", {"idle_deg": ""}, "9000"),
        ("strobe", {"peak_rpm": "fast"}, "1400"),
        ("mix", {"result": "fine", "fuel_mix": "98 octane, 1:40"}, "98 octane, 1:40"),
    ],
)
@pytest.mark.parametrize("htmx", [False, True])
def test_what_is_missing_is_said_on_its_line_and_what_was_typed_stays(client, visit, mechanic, line, given, kept, htmx):
    client.post(at("gate-begin", visit))
    gate_answered(Gate.objects.get(), by=mechanic, part=AT_BENCH, strobe=(), rev_out="")
    Gate.objects.get().items.filter(item=line).delete()
    refused = answer(client, visit, line, htmx=htmx, **given)
    assert refused.status_code == 422
    assert kept in refused.text
    assert "trouble" in refused.text
    assert not Gate.objects.get().items.filter(item=line).exists()


def test_htmx_gets_the_line_in_its_place_and_what_is_left(client, visit):
    client.post(at("gate-begin", visit))
    said = answer(client, visit, "tyre", htmx=True, result="bad", words="a nail").text
    assert 'id="line-tyre"' in said
    assert "not in order: a nail" in said
    assert 'id="gate-left" hx-swap-oob="true"' in said
    assert 'id="line-leaks"' not in said
    assert 'id="gate-running"' not in said  # the tyre does not decide whether it may be started
    assert 'id="gate-running" hx-swap-oob="true"' in answer(client, visit, "leaks", htmx=True).text


def test_the_strobe_s_readings_stay_typed_while_another_line_is_answered(client, visit, mechanic):
    client.post(at("gate-begin", visit))
    gate_answered(Gate.objects.get(), by=mechanic, part=AT_BENCH, strobe=(), rev_out="")
    said = answer(client, visit, "kill-switch", htmx=True, idle_rpm="1350", idle_deg="16.8")
    assert said["HX-Retarget"] == "#gate-running"
    assert ('value="1350"' in said.text, 'value="16.8"' in said.text) == (True, True)
    assert 'id="line-rev-out"' in said.text


def test_a_done_line_holds_what_was_answered_to_be_answered_again(client, visit, mechanic):
    client.post(at("gate-begin", visit))
    gate_answered(Gate.objects.get(), by=mechanic, part=AT_BENCH, words={"tyre": "new in May"}, fuel_mix="1:40")
    page = client.get(at("gate", visit)).text
    for kept in ("new in May", "1:40", 'value="9.5"', 'value="1400"', 'value="16.5"'):
        assert kept in page


def test_a_limit_of_revs_is_typed(client, visit, mechanic):
    client.post(at("gate-begin", visit))
    gate_answered(Gate.objects.get(), by=mechanic, part=AT_BENCH)
    client.post(at("gate-bench-end", visit))
    client.post(at("gate-on", visit), {"station": "1"})
    assert 'name="highest_rpm"' in client.get(at("gate", visit)).text
    assert answer(client, visit, "highest-revs", result="ok", highest_rpm="").status_code == 422
    answer(client, visit, "highest-revs", result="ok", highest_rpm="6000")
    assert Gate.objects.get().highest_rpm == 6000


def test_an_engine_that_is_not_run_in_is_given_its_limit_before_it_goes_on(client, visit, mechanic):
    Sheet.objects.create(visit=visit, begun_at=visit.booked_at, not_run_in=True)
    client.post(at("gate-begin", visit))
    gate_answered(Gate.objects.get(), by=mechanic, part=AT_BENCH)
    client.post(at("gate-bench-end", visit))
    client.post(at("gate-on", visit), {"station": "1"})
    assert "No limit today" not in client.get(at("gate", visit)).text
    for htmx in (True, False):
        refused = answer(client, visit, "highest-revs", result="na", htmx=htmx)
        assert refused.status_code == 422
        assert kept_together("no limit today; allowed is 500 to 30000 rpm: it is not run in") in refused.text
        assert "No limit today</button>" not in refused.text
    assert answer(client, visit, "highest-revs", result="ok", highest_rpm="6000").status_code == 302


def test_an_engine_said_later_not_to_be_run_in_does_not_pass_without_its_limit(client, visit, mechanic):
    client.post(at("gate-begin", visit))
    gate_answered(Gate.objects.get(), by=mechanic, part=AT_BENCH)
    client.post(at("gate-bench-end", visit))
    client.post(at("gate-on", visit), {"station": "1"})
    for line in STRAPPED_LINES:
        answer(client, visit, line.id, **({"result": "na"} if line.id == "highest-revs" else {}))
    Sheet.objects.create(visit=visit, begun_at=visit.booked_at, not_run_in=True)
    client.post(at("gate-end", visit))
    visit.refresh_from_db()
    assert visit.gate_passed_at is None
    assert "it is not run in" in client.get(at("gate", visit)).text


def test_a_leak_down_is_given_in_place_of_the_gauge(client, visit, mechanic):
    client.post(at("gate-begin", visit))
    assert answer(client, visit, "compression", value="12", unit="%").status_code == 302
    assert "in order: 12% leak-down" in client.get(at("gate", visit)).text


def test_strapped_down_again_it_shows_that_the_part_at_the_bench_stands(client, visit, mechanic):
    gate_ended(visit, by=mechanic)
    floor.say(visit, states.HERE, by=mechanic, now=timezone.now())
    page = client.get(at("gate", visit)).text
    assert "It has come off the rollers since" in page
    assert '<button class="main">Strap it down again</button>' in page
    assert "It may be run on the rollers" not in page
    client.post(at("gate-begin", visit))
    page = client.get(at("gate", visit)).text
    assert "It stands on Roller 1" in page
    assert "At the bench, in full" not in page  # its answers lie in the gate before


def test_a_machine_whose_session_is_over_is_not_sent_to_the_straps(client, visit, mechanic):
    gate_ended(visit, by=mechanic)
    session = visit.steps.get(at="roller")
    client.post(reverse("step-begin", args=[session.pk]), {"station": "1"})
    client.post(reverse("step-end", args=[session.pk]))
    page = client.get(at("gate", visit)).text
    assert "It has come off the rollers since" not in page
    assert "<button>Do the gate again</button>" in page


def test_a_strobe_that_advances_takes_the_rev_out_away(client, visit, mechanic):
    client.post(at("gate-begin", visit))
    gate_answered(Gate.objects.get(), by=mechanic, part=AT_BENCH, strobe=(), rev_out="")
    said = answer(client, visit, "strobe", htmx=True, idle_deg="14", peak_deg="19.5")
    assert (said.status_code, said["HX-Retarget"]) == (200, "#gate-running")
    assert 'id="line-rev-out"' not in said.text
    assert "Do not run it." in said.text
    assert answer(client, visit, "rev-out", htmx=True).status_code == 409


def test_what_is_left_comes_first_and_what_is_done_folds(client, visit):
    client.post(at("gate-begin", visit))
    answer(client, visit, "leaks")
    answer(client, visit, "fuel", result="bad")
    page = client.get(at("gate", visit)).text
    assert page.index('id="line-tyre"') < page.index('id="line-fuel"') < page.index('id="line-leaks"')
    assert "<b>9 left</b>, 2 done" in page
    assert 'id="line-kill-switch"' not in page
    assert "Engine off until these are in order: leaks" not in page
    assert "Engine off until these are in order: mix, oil and coolant, throttle, exhaust" in page


def test_a_do_not_run_finding_offers_no_line_with_the_engine_running(client, visit):
    client.post(at("gate-begin", visit))
    client.post(reverse("finding-record", args=[visit.number, "nipped"]), {"answer": "yes"})
    page = client.get(at("gate", visit)).text
    assert "The engine stays off" in page
    assert 'id="line-rev-out"' not in page


def test_taken_off_the_rollers_it_is_put_on_again(client, visit, mechanic):
    client.post(at("gate-begin", visit))
    gate_answered(Gate.objects.get(), by=mechanic, part=AT_BENCH)
    client.post(at("gate-bench-end", visit))
    wrong = client.post(at("gate-on", visit), {"station": "x"}, follow=True)
    assert "the number of a roller" in wrong.text
    client.post(at("gate-on", visit), {"station": "1"})
    assert "Strapped down, straps and anchors sound" in client.get(at("gate", visit)).text
    client.post(at("gate-off", visit))
    assert "It stands on Roller 1" in client.get(at("gate", visit)).text
    client.post(at("gate-bench-again", visit))
    page = client.get(at("gate", visit)).text
    assert ("<b>1 left</b>, 11 done" in page, "It stands on Roller 1" in page) == (True, False)


def test_what_is_refused_of_a_line_that_is_not_offered_is_said_at_the_top(client, visit):
    client.post(at("gate-begin", visit))
    refused = answer(client, visit, "kill-switch")
    assert refused.status_code == 409
    assert "leave the engine off until these are in order" in refused.text


def test_there_is_no_line_of_another_name(client, visit):
    client.post(at("gate-begin", visit))
    assert answer(client, visit, "horn").status_code == 404


def test_a_failed_gate_is_overridden_by_name(client, visit, mechanic):
    client.post(at("gate-begin", visit))
    gate_answered(Gate.objects.get(), by=mechanic, part=AT_BENCH, bad=["tyre"])
    client.post(at("gate-bench-end", visit))
    page = client.get(at("gate", visit)).text
    assert "The tyre is not fit for the rollers." in page
    assert "Only the boss lets a failed gate pass" in page
    reason = {"reason": "Worn to the marks, static run at low speed only."}
    assert client.post(at("gate-override", visit), reason).status_code == 403
    boss = garage.boss()
    client.force_login(boss)
    assert "Let it through anyway" in client.get(at("gate", visit)).text
    refused = client.post(at("gate-override", visit), {"reason": "static run"})
    assert refused.status_code == 422
    assert "static run" in refused.text
    client.post(at("gate-override", visit), reason)
    assert Gate.objects.get().overridden_by == boss
    page = client.get(at("gate", visit)).text
    assert ("let through" in page, "It stands on Roller 1" in page) == (True, True)


def test_a_machine_that_is_not_here_has_no_gate(client, mechanic):
    coming = garage.visit()
    assert "take the machine in first" in client.get(at("gate", coming)).text
    begun = client.post(at("gate-begin", coming), follow=True)
    assert begun.redirect_chain == [(at("gate", coming), 302)]
    assert "said error" in begun.text
    assert not Gate.objects.exists()
    client.force_login(garage.boss())
    assert client.post(at("gate-override", coming), {"reason": "x"}).status_code == 409


def test_the_gate_shows_the_cautions_and_the_variator_s_plateau(client, visit, mechanic):
    visit.machine.gearbox = "automatic"
    visit.machine.save()
    client.post(at("gate-begin", visit))
    assert "Local codes and licensed practice" in client.get(at("gate", visit)).text
    gate_answered(Gate.objects.get(), by=mechanic, part=AT_BENCH, rev_out="")
    page = client.get(at("gate", visit)).text
    assert "variator" in page
    assert "Exhaust gas kills" in page


def test_a_gate_of_one_part_is_still_shown(client, visit, mechanic):
    gate = gate_over(visit=visit, by=mechanic, rev_out="clean", strobe_not_seen="cover", second_person="Robin")
    gate.items.create(item="leaks", result="ok")
    page = client.get(at("gate", visit)).text
    assert f"<b>Passed</b>, {mechanic.name}" in page
    assert "Marks not seen: cover" in page
    assert "The spindle" not in page


def test_the_page_needs_few_queries(client, visit, mechanic, django_assert_max_num_queries):
    """One of them for the photos, which are taken and looked at here."""
    client.post(at("gate-begin", visit))
    gate_answered(Gate.objects.get(), by=mechanic, part=AT_BENCH)
    with django_assert_max_num_queries(16):
        client.get(at("gate", visit))
    client.post(at("gate-bench-end", visit))
    with django_assert_max_num_queries(16):
        client.get(at("gate", visit))
    client.post(at("gate-on", visit), {"station": "1"})
    gate_answered(Gate.objects.get(), by=mechanic, part=STRAPPED_DOWN)
    with django_assert_max_num_queries(16):  # the people of whom one is within call
        client.get(at("gate", visit))
    client.post(at("gate-end", visit))
    with django_assert_max_num_queries(18):  # the session to begin, its roller and hours, and what was put right
        client.get(at("gate", visit))


def test_what_was_read_at_the_bench_is_not_typed_again(client, visit, mechanic):
    for what, value, unit, rpm in (
        ("strobe_idle", "22", "", 1234),
        ("strobe_peak", "21.5", "", 8765),
        ("compression", "8.7", "bar", None),
    ):
        readings.record(visit, read_reading(what, value, unit, rpm), by=mechanic, now=timezone.now())
    client.post(at("gate-begin", visit))
    for line in BENCH_LINES:
        if line.id not in ("strobe", "rev-out"):
            answer(client, visit, line.id, **({"value": "8.7"} if line.id == "compression" else {}))
    page = client.get(at("gate", visit)).text
    for value in ("1234", "22", "8765", "21.5", "8.7"):
        assert f'value="{value}"' in page


def test_after_a_nip_was_put_right_the_gate_asks_for_the_gauge(client, visit, mechanic):
    findings.record(visit, question="nipped", answer="yes", source=Finding.OWNER, by=mechanic, now=timezone.now())
    causes.confirm(visit, fault="air-leak", by=mechanic, now=timezone.now())
    words = "Intake rubber split: a new one fitted."
    way_back.found_and_put_right(visit, question="nipped", words=words, by=mechanic, now=timezone.now())
    client.post(at("gate-begin", visit))
    asked = "compression or leak-down is measured."
    assert asked in client.get(at("gate", visit)).text
    for line in BENCH_LINES:
        given = {"result": "na", "words": "no adapter", "value": ""} if line.id == "compression" else {}
        answer(client, visit, line.id, **given)
    client.post(at("gate-bench-end", visit))
    gate = Gate.objects.get()
    assert gate.passed is False
    assert any(asked in fail for fail in gate.fails)
