from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from diagnostics.models.sheets import Sheet
from garage.changes import trail
from garage.core import states
from garage.core.mail.mail_tries import MOST_TRIES
from garage.models.messages import Message
from garage.models.visits import Step, TakeIn, Visit
from garage.reads.messages import WARNING
from jobs.changes import cards, closing, invoices
from tests.factories import garage, jobs
from tests.forms import keyed

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client):
    person = garage.front_desk(first_name="Ted")
    client.force_login(person)
    return person


def test_visits_are_for_the_workshop_only(client):
    visit = jobs.visit_here()
    for address in (reverse("visits"), reverse("visit", args=[visit.number])):
        assert client.get(address).status_code == 302


def test_without_words_the_list_holds_what_is_coming_or_in_the_building(client, desk):
    here, gone = jobs.visit_here(), jobs.visit_here(state=states.COLLECTED)
    text = client.get(reverse("visits")).text
    assert reverse("visit", args=[here.number]) in text
    assert reverse("visit", args=[gone.number]) not in text


@pytest.mark.parametrize(
    "words",
    ["Alba", "alba thorne", "Tarnhow", "Q185", "q185qlr", "900321", "+44 7700 900321", "alba@example.org", "Alba tarn"],
)
def test_a_visit_is_found_by_part_of_anything_that_names_it(client, desk, words):
    owner = garage.owner(name="Alba Thorne", email="alba@example.org", telephone="07700 900321")
    machine = garage.machine(owner=owner, words="Tarnhow 250", registration="Q185 QLR")
    wanted = jobs.visit_here(machine=machine, state=states.COLLECTED)
    other = jobs.visit_here()
    text = client.get(reverse("visits"), {"q": words}).text
    assert reverse("visit", args=[wanted.number]) in text
    assert reverse("visit", args=[other.number]) not in text


def test_a_visit_is_found_by_its_number(client, desk):
    visit = jobs.visit_here(number=98765)
    assert reverse("visit", args=[visit.number]) in client.get(reverse("visits"), {"q": "98765"}).text


def test_the_list_leads_to_what_is_usually_done_to_each_visit(client, desk):
    coming, here = garage.visit(state=states.BOOKED), jobs.visit_here()
    ready = jobs.visit_here()
    cards.part(ready, words="Plug", quantity=Decimal(1), price_each=Decimal("3.00"), by=desk, now=timezone.now())
    closing.close_with_nothing_wrong(ready, by=desk, now=timezone.now())
    owed = invoices.issue(ready, by=desk, now=timezone.now())
    text = client.get(reverse("visits")).text
    for address, visit, is_there in (
        ("visit-move", coming, True),
        ("visit-call-off", coming, True),
        ("visit-write", coming, True),
        ("visit-write", here, True),
        ("visit-move", here, False),
        ("visit-call-off", here, False),
    ):
        assert (reverse(address, args=[visit.number]) in text) is is_there
    assert reverse("invoice", args=[owed.number]) in text


def test_nothing_found_says_what_will_do(client, desk):
    jobs.visit_here()
    assert "Nothing found." in client.get(reverse("visits"), {"q": "zeppelin"}).text


def test_a_long_list_comes_in_pages(client, desk):
    machine = garage.machine()
    for _ in range(51):
        jobs.visit_here(machine=machine)
    assert "Page 1 of 2" in client.get(reverse("visits")).text
    assert "Page 2 of 2" in client.get(reverse("visits"), {"page": "2"}).text


def test_the_visits_page_shows_owner_machine_route_reasons_and_trail(client, desk):
    visit = jobs.visit_here(wants="it four-strokes", route="fix-first", route_reasons=["It hits a ceiling."])
    TakeIn.objects.create(visit=visit, at=timezone.now(), by=desk, how_it_came="trailer", came_with="spare plug")
    trail.about_visit(visit, "rang about the pipe", by=desk, now=timezone.now())
    text = client.get(reverse("visit", args=[visit.number])).text
    for said in (visit.owner.name, "it four-strokes", "It hits a ceiling.", "on a trailer", "spare plug", "rang about"):
        assert said in text


def test_what_was_found_is_said_before_anybody_has_decided_on_the_route(client, desk):
    visit = jobs.visit_here(must_not_run=["It pinks.", "It nipped up."], route="fix-first", route_reasons=["Rich."])
    page = client.get(reverse("visit", args=[visit.number])).text
    assert '<div class="care"><p><b>Do not run it.</b> It pinks. It nipped up.' in page
    assert "It must not run: the bench first." in page


@pytest.mark.parametrize(
    ("known", "is_offered"),
    [({}, False), ({"gate_passed_at": 1}, True), ({"gate_passed_at": 1, "must_not_run": ["It pinks."]}, False)],
)
def test_the_rollers_are_offered_only_where_the_rule_lets_it_on(client, desk, known, is_offered):
    if "gate_passed_at" in known:
        known = known | {"gate_passed_at": timezone.now()}
    visit = jobs.visit_here(**known)
    step = Step.objects.create(visit=visit, index=0, at="roller", minutes=90, what="set-up")
    page = client.get(reverse("visit", args=[visit.number])).text
    assert ('value="on-the-rollers"' in page) == is_offered
    assert (reverse("step-begin", args=[step.pk]) in page and "Start set-up at" in page) == is_offered


def test_a_machine_that_failed_the_gate_says_why_beside_the_button_that_does_it_again(client, desk):
    visit = jobs.visit_here()
    Step.objects.create(visit=visit, index=0, at="roller", minutes=90, what="set-up")
    assert "Start the gate" in main_button(client, visit)
    now = timezone.now()
    visit.gates.create(begun_at=now, by=desk, ended_by=desk, ended_at=now, passed=False, fails=["The tyre is worn."])
    text = main_button(client, visit)
    assert "It failed the gate" in text
    assert "The tyre is worn." in text
    assert "Do the gate again" in text
    assert "Start the gate" not in text
    visit.gates.update(passed=True)
    assert "It failed the gate" not in main_button(client, visit)


def test_a_machine_that_came_off_the_rollers_is_sent_to_be_strapped_down_again_if_a_session_is_to_come(client, desk):
    visit = jobs.visit_here(gate_at_bench_passed_at=timezone.now())
    step = Step.objects.create(visit=visit, index=0, at="roller", minutes=90, what="set-up")
    text = main_button(client, visit)
    assert "It has come off the rollers" in text
    assert "Strap it down again" in text
    assert reverse("step-begin", args=[step.pk]) not in text
    assert "Next: the gate" in client.get(reverse("card", args=[visit.number])).text
    step.began_at = step.ended_at = timezone.now()
    step.save()
    assert reverse("card", args=[visit.number]) in main_button(client, visit)
    assert "Strap it down again" not in main_button(client, visit)


@pytest.mark.parametrize("name", ["visit", "card", "gate", "take-in"])
def test_what_the_owner_ticked_stands_on_every_page_where_the_machine_is_touched(client, desk, name):
    visit = jobs.visit_here()
    if name == "take-in":
        Visit.objects.update(state=states.BOOKED, arrived_at=None)
    Sheet.objects.create(visit=visit, begun_at=timezone.now(), no_exhaust=True, leaks_petrol=True)
    Visit.objects.update(owner_remarks=["It leaks petrol", "There is no exhaust on it"])
    text = client.get(reverse(name, args=[visit.number])).text
    assert "<b>The owner says:</b> It leaks petrol. There is no exhaust on it." in text


def test_do_not_run_comes_first(client, desk):
    visit = jobs.visit_here(route="do-not-run", route_reasons=["It leaks petrol."])
    assert (
        '<div class="care"><p><b>Do not run it.</b> It leaks petrol.'
        in client.get(reverse("visit", args=[visit.number])).text
    )


def main_button(client, visit):
    text = client.get(reverse("visit", args=[visit.number])).text
    return text[text.index('id="next"') : text.index('class="columns"')]


def test_the_main_button_follows_the_visit_through_the_garage(client, desk):
    visit = jobs.visit_here(state=states.BOOKED, arrived_at=None)
    assert reverse("take-in", args=[visit.number]) in main_button(client, visit)
    visit.state, visit.arrived_at = states.HERE, timezone.now()
    visit.save()
    assert reverse("gate", args=[visit.number]) in main_button(client, visit)
    visit.gate_passed_at = timezone.now()
    visit.save()
    assert reverse("card", args=[visit.number]) in main_button(client, visit)
    cards.part(visit, words="Plug", quantity=Decimal(1), price_each=Decimal("3.00"), by=desk, now=timezone.now())
    closing.close_with_nothing_wrong(visit, by=desk, now=timezone.now())
    assert reverse("invoice-issue", args=[visit.number]) in main_button(client, visit)
    invoice = invoices.issue(visit, by=desk, now=timezone.now())
    assert 'name="state" value="ready"' in main_button(client, visit)
    client.post(reverse("visit-state", args=[visit.number]), {"state": "ready"})
    assert "£3.00 still to pay" in main_button(client, visit)
    client.post(reverse("payment-add", args=[invoice.number]), keyed(amount="3", how="cash"))
    assert reverse("visit-collected", args=[visit.number]) in main_button(client, visit)
    client.post(reverse("visit-collected", args=[visit.number]))
    visit.refresh_from_db()
    assert visit.state == states.COLLECTED
    assert visit.messages.filter(what="ready_to_collect").count() == 1


def warned(visit, **given):
    values = {"what": WARNING, "to": "", "subject": "Please do not run it", "text": "Words", "tries": MOST_TRIES}
    values |= {"visit": visit, "written_at": timezone.now(), "due_at": timezone.now(), "trouble": "No email address."}
    return Message.objects.create(**values | given)


@pytest.mark.parametrize("state", [states.BOOKED, states.TO_PUT_RIGHT])
def test_an_owner_who_may_not_know_that_it_must_not_run_is_rung_before_anything_else(client, desk, state):
    visit = jobs.visit_here(
        state=state, arrived_at=None, must_not_run=["It nipped up."], route_asked="do-not-run", to_ask=["Why?"]
    )
    message = warned(visit)
    said = main_button(client, visit)
    assert "Its owner may not know that it must not run. <b>No email address.</b>" in said
    assert "Please do not start or ride it." in said
    assert 'href="tel:+447700900123"' in said
    told = client.post(reverse("sent-told", args=[message.pk]), {"visit": visit.number})
    assert told.url == reverse("visit", args=[visit.number])
    assert "The boss decides." in main_button(client, visit)


def test_a_warning_that_was_read_or_is_still_fresh_or_of_a_machine_that_is_here_is_not_the_next_thing(client, desk):
    visit = jobs.visit_here(state=states.BOOKED, arrived_at=None, route="do-not-run")
    message = warned(visit, to="pat@example.org", sent_at=timezone.now(), tries=1)
    assert "may not know" not in main_button(client, visit)
    Message.objects.update(written_at=timezone.now() - timedelta(hours=12))
    assert "may not know" in main_button(client, visit)
    Visit.objects.update(page_opened_at=timezone.now())
    assert "may not know" not in main_button(client, visit)
    Visit.objects.update(page_opened_at=None, state=states.HERE)
    assert "may not know" not in main_button(client, visit)
    assert message.told_at is None


def test_a_no_show_can_be_recorded_only_after_the_time_of_the_visit(client, desk):
    soon = jobs.visit_here(state=states.BOOKED, arrived_at=None)
    past = jobs.visit_here(state=states.BOOKED, arrived_at=None, starts_at=timezone.now() - timedelta(hours=1))
    for visit, offered in ((soon, False), (past, True)):
        text = client.get(reverse("visit", args=[visit.number])).text
        assert (reverse("visit-did-not-come", args=[visit.number]) in text) is offered


def test_an_unknown_visit_is_not_found(client, desk):
    assert client.get(reverse("visit", args=[99999])).status_code == 404


@pytest.mark.parametrize("state", sorted(states.WORDS))
def test_every_state_has_a_page(client, desk, state):
    visit = jobs.visit_here(
        state=state, route_asked="fix-first" if state == states.BOOKED else "", to_ask=["Which plug?"]
    )
    assert client.get(reverse("visit", args=[visit.number])).status_code == 200


def test_the_visits_page_keeps_to_its_queries(client, desk, django_assert_max_num_queries):
    visit = jobs.visit_here()
    for number in range(60):
        trail.about_visit(visit, f"row {number}", by=desk, now=timezone.now())
    with django_assert_max_num_queries(21):  # the last one for its estimates
        text = client.get(reverse("visit", args=[visit.number])).text
    assert "20 older rows not shown" in text


def test_the_step_to_come_begins_and_ends_from_the_visits_page(client):
    mechanic = garage.person()
    client.force_login(mechanic)
    visit = jobs.visit_here(gate_passed_at=timezone.now())
    step = Step.objects.create(visit=visit, index=1, at="roller", minutes=90, what="set-up")
    where = reverse("visit", args=[visit.number])
    assert client.get(where).text.count("Start set-up at Roller 1") == 1
    assert "It has passed the gate." in main_button(client, visit)
    answer = client.post(reverse("step-begin", args=[step.pk]), {"visit": visit.number, "station": 1})
    assert answer.url == f"{where}#work"
    assert "Finish: set-up" in client.get(where).text
    client.post(reverse("step-end", args=[step.pk]), {"visit": visit.number})
    assert "Finish: set-up" not in client.get(where).text
    step.refresh_from_db()
    assert step.ended_at is not None


@pytest.mark.parametrize("page", ["visit", "card", "gate"])
def test_a_start_button_outside_the_roller_hours_says_so_wherever_it_stands(client, desk, page):
    client.force_login(garage.person())
    visit = jobs.visit_here(gate_passed_at=timezone.now())
    Step.objects.create(visit=visit, index=1, at="roller", minutes=90, what="set-up")
    visit.gates.create(begun_at=timezone.now(), by=desk, ended_by=desk, ended_at=timezone.now(), passed=True)
    garage.hours_today()
    where = reverse(page, args=[visit.number])
    assert "outside the roller hours" not in client.get(where).text
    garage.roller_hours(has_rollers=False)
    text = client.get(where).text
    assert text.count("Begun now, it would be outside the roller hours: today they do not run.") == 1
    assert "Start set-up at Roller 1" in text


def test_the_deposit_of_a_called_off_visit_can_be_given_back_from_its_page(client, desk):
    visit = jobs.visit_here(state=states.BOOKED, arrived_at=None, deposit=Decimal("30.00"))
    where = reverse("deposit-add", args=[visit.number])
    client.post(where, keyed(amount="30", how="cash"))
    Visit.objects.filter(pk=visit.pk).update(state=states.CALLED_OFF)
    assert "Refund the deposit" in client.get(reverse("visit", args=[visit.number])).text
    assert client.post(where, keyed(amount="-31", how="cash")).status_code == 422
    assert client.post(where, keyed(amount="-30", how="cash")).status_code == 302
    visit.refresh_from_db()
    assert visit.deposit_paid == 0
