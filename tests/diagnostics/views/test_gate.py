import pytest
from django.urls import reverse

from diagnostics.core.gate import ITEMS
from diagnostics.models.gates import Gate
from garage.core import states
from garage.models.people import Person
from tests.factories import garage

pytestmark = pytest.mark.django_db


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
    return visit


def at(name, visit):
    return reverse(name, args=[visit.number])


def filled(**given):
    values = {f"item-{item.id}": "ok" for item in ITEMS} | {
        "rev_out": "clean",
        "idle_rpm": "1400",
        "idle_deg": "17",
        "peak_rpm": "9000",
        "peak_deg": "16.5",
    }
    values["second_person"] = str((Person.objects.filter(first_name="Jo").first() or garage.person(first_name="Jo")).pk)
    return values | given


def test_the_gate_is_begun_filled_and_passed(client, visit):
    assert client.post(at("gate-end", visit), filled()).status_code == 409
    client.post(at("gate-begin", visit))
    assert "The kill switch stops it" in client.get(at("gate", visit)).text
    assert client.post(at("gate-end", visit), filled()).status_code == 302
    visit.refresh_from_db()
    assert visit.gate_passed_at
    assert "Passed" in client.get(at("gate", visit)).text


@pytest.mark.parametrize(
    "given", [{"item-brakes": ""}, {"rev_out": ""}, {"idle_deg": ""}, {"peak_rpm": "fast"}, {"second_person": ""}]
)
def test_missing_fields_are_reported_and_the_rest_stays_filled_in(client, visit, given):
    client.post(at("gate-begin", visit))
    refused = client.post(at("gate-end", visit), filled(**{"words-tyre": "near its limit"} | given))
    assert refused.status_code == 422
    assert "near its limit" in refused.text
    assert "trouble" in refused.text
    assert Gate.objects.get().ended_at is None
    assert client.post(at("gate-end", visit), filled()).status_code == 302


def test_a_failed_gate_is_overridden_by_name(client, visit, mechanic):
    client.post(at("gate-begin", visit))
    client.post(at("gate-end", visit), filled(**{"item-tyre": "bad"}))
    page = client.get(at("gate", visit)).text
    assert "The tyre is not fit for the rollers." in page
    assert "Only the boss lets a failed gate pass" in page
    reason = {"reason": "Worn to the marks, static run at low speed only."}
    assert client.post(at("gate-override", visit), reason).status_code == 409
    boss = garage.boss()
    client.force_login(boss)
    assert "Let it through anyway" in client.get(at("gate", visit)).text
    refused = client.post(at("gate-override", visit), {"reason": "static run"})
    assert refused.status_code == 422
    assert "static run" in refused.text
    client.post(at("gate-override", visit), reason)
    assert Gate.objects.get().overridden_by == boss
    assert "let through" in client.get(at("gate", visit)).text


def test_a_machine_that_is_not_here_has_no_gate(client, mechanic):
    coming = garage.visit()
    assert "take the machine in first" in client.get(at("gate", coming)).text
    begun = client.post(at("gate-begin", coming), follow=True)
    assert begun.redirect_chain == [(at("gate", coming), 302)]
    assert "said error" in begun.text
    assert not Gate.objects.exists()
    assert client.post(at("gate-override", coming), {"reason": "x"}).status_code == 409


def test_the_gate_shows_the_cautions_and_the_variator_s_plateau(client, visit):
    visit.machine.gearbox = "automatic"
    visit.machine.save()
    client.post(at("gate-begin", visit))
    page = client.get(at("gate", visit)).text
    assert "variator" in page
    assert "Local codes and licensed practice" in page


def test_the_page_needs_few_queries(client, visit, django_assert_max_num_queries):
    client.post(at("gate-begin", visit))
    client.post(at("gate-end", visit), filled())
    with django_assert_max_num_queries(13):
        client.get(at("gate", visit))
