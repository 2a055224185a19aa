from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.core import states
from garage.models.owners import Owner
from garage.models.visits import Visit
from garage.reads import links
from jobs.models.service import ServiceReminder
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit(client):
    client.force_login(garage.person())
    return jobs.closed_card(visit=jobs.visit_here()).visit


def test_a_mechanic_sets_it_on_the_card_and_takes_it_away(client, visit):
    typed = {"what": "strobe it again", "after_km": "500", "months": "6"}
    answer = client.post(reverse("card-service", args=[visit.number]), typed)
    assert answer.url == f"{reverse('card', args=[visit.number])}#service"
    assert "<b>strobe it again after about 500 km</b>" in client.get(answer.url).text
    client.post(reverse("card-service-off", args=[visit.number]))
    assert not ServiceReminder.objects.exists()


@pytest.mark.parametrize("wrong", [{"what": ""}, {"months": "0"}, {"after_km": "-3"}, {"months": "soon"}])
def test_what_cannot_be_used_is_said_and_what_was_typed_stays(client, visit, wrong):
    typed = {"what": "strobe it again", "after_km": "512", "months": "7"} | wrong
    answer = client.post(reverse("card-service", args=[visit.number]), typed)
    assert answer.status_code == 422
    kept = {value for name, value in typed.items() if name not in wrong}
    assert all(f'value="{value}"' in answer.text for value in kept)
    assert not ServiceReminder.objects.exists()


def test_the_owner_says_no_by_link_even_years_after_and_may_take_it_back(client, visit):
    long_ago = timezone.now() - timedelta(days=900)
    Visit.objects.update(state=states.COLLECTED, collected_at=long_ago)
    page = reverse("owner-reminders", args=[links.token(visit, links.REMINDERS)])
    assert "No more service reminders, please" in client.get(page).text
    client.post(page, {"wants": "none"})
    assert Owner.objects.get().no_service_at is not None
    assert "Remind me after all" in client.get(page).text
    card = client.get(reverse("card", args=[visit.number])).text
    assert f"{visit.owner.name} wants no service reminders." in card
    assert reverse("card-service", args=[visit.number]) not in card
    assert "Wants no service reminders" in client.get(reverse("owner", args=[visit.owner_id])).text
    client.post(page, {"wants": "again"})
    assert Owner.objects.get().no_service_at is None


@pytest.mark.parametrize("sent", [{}, {"wants": "perhaps"}])
def test_an_owner_who_presses_no_button_of_ours_changes_nothing(client, visit, sent):
    page = reverse("owner-reminders", args=[links.token(visit, links.REMINDERS)])
    answer = client.post(page, sent)
    assert answer.status_code == 422
    assert "Press one of the buttons on the page." in answer.text
    assert Owner.objects.get().no_service_at is None


def test_the_link_of_the_visit_does_not_open_the_reminders(client, visit):
    assert client.get(reverse("owner-reminders", args=[links.token(visit, links.VISIT)])).status_code == 410
