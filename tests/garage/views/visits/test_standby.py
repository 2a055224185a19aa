"""Standby by personal link: asked for, changed, ended; an offer looked at, taken and left. And the workshop's page."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.changes.visit import offers, visits
from garage.models.standby import FreedTime, Offer, Standby
from garage.models.visits import Visit
from garage.reads import links
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db
ASKS = {"notice_hours": "2", "weekdays": [str(day) for day in range(7)]}


@pytest.fixture
def visit():
    garage.shop(standby_minutes=120)
    garage.person()
    garage.person()
    return booking.booked(garage.visit_kind(), booking.at_local(booking.workday(ahead=9), 14))


def address(name, visit, *args):
    return reverse(name, args=[links.token(visit, links.VISIT), *args])


def offered(client, visit) -> Offer:
    """A sooner time, called off by day and offered to this visit."""
    client.post(address("owner-standby", visit), ASKS)
    sooner = booking.booked(visit.kind, booking.at_local(booking.workday(ahead=5), 10), email="sooner@example.org")
    now = timezone.now()
    visits.call_off_by_owner(sooner, why="", now=now)
    Offer.objects.create(
        time=FreedTime.objects.get(), visit=visit, offered_at=now, open_until=now + timedelta(minutes=30)
    )
    return Offer.objects.get()


def test_an_owner_asks_changes_it_and_ends_it(client, visit):
    page = client.get(address("owner-standby", visit)).text
    assert "Put me on standby" in page
    assert address("owner-standby", visit) in client.get(address("owner-visit", visit)).text
    assert client.post(address("owner-standby", visit), ASKS)["Location"] == address("owner-visit", visit)
    assert Standby.objects.get().weekdays == "0123456"
    assert "You are on standby" in client.get(address("owner-visit", visit)).text
    client.post(address("owner-standby", visit), ASKS | {"weekdays": ["4"]})
    assert Standby.objects.get().weekdays == "4"
    client.post(address("owner-standby", visit), {"off": "off"})
    assert not Standby.objects.exists()
    assert client.post(address("owner-standby", visit), {"off": "off"}).status_code == 409


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"weekdays": []}, "Tick at least one day that suits."),
        ({"weekdays": ["9"]}, "9 is not one of the available choices"),
        ({"notice_hours": ""}, "Say how long before you need to know."),
        ({"notice_hours": "soon"}, "soon is not one of the available choices"),
    ],
)
def test_what_is_missing_is_said_and_the_rest_kept(client, visit, typed, said):
    answer = client.post(address("owner-standby", visit), ASKS | typed)
    assert answer.status_code == 422
    assert said in answer.text
    assert not Standby.objects.exists()


def test_an_offer_is_looked_at_and_taken(client, visit):
    offer = offered(client, visit)
    assert "A time has come free" in client.get(address("owner-visit", visit)).text
    page = client.get(address("owner-offer", visit, offer.pk))
    assert "Yes, I take it" in page.text
    assert Visit.objects.get(pk=visit.pk).starts_at == visit.starts_at  # looking takes nothing
    answer = client.post(address("owner-offer", visit, offer.pk), {"answer": "yes"})
    assert answer["Location"] == address("owner-visit", visit)
    assert Visit.objects.get(pk=visit.pk).starts_at == offer.time.starts_at
    assert "It is yours" in client.get(address("owner-offer", visit, offer.pk)).text


def test_an_offer_is_left_and_the_time_stands(client, visit):
    offer = offered(client, visit)
    assert client.post(address("owner-offer", visit, offer.pk), {"answer": "no"}).status_code == 302
    assert Visit.objects.get(pk=visit.pk).starts_at == visit.starts_at
    page = client.get(address("owner-offer", visit, offer.pk)).text
    assert "This offer is over: not wanted. Your time stands" in page


def test_a_yes_that_comes_too_late_is_told_so(client, visit):
    offer = offered(client, visit)
    offers.open_to_everybody(offer.time, now=timezone.now())
    answer = client.post(address("owner-offer", visit, offer.pk), {"answer": "yes"})
    assert answer.status_code == 409
    assert "gone to somebody else" in answer.text
    assert Visit.objects.get(pk=visit.pk).starts_at == visit.starts_at


@pytest.mark.parametrize("typed", ["", "perhaps"])
def test_neither_yes_nor_no_is_asked_again(client, visit, typed):
    offer = offered(client, visit)
    answer = client.post(address("owner-offer", visit, offer.pk), {"answer": typed})
    assert answer.status_code == 422
    assert "Say yes or no." in answer.text


def test_an_offer_to_somebody_else_is_not_found(client, visit):
    offer = offered(client, visit)
    other = booking.booked(visit.kind, booking.at_local(booking.workday(ahead=16), 9), email="other@example.org")
    assert client.get(address("owner-offer", other, offer.pk)).status_code == 404
    assert client.post(address("owner-offer", other, offer.pk), {"answer": "yes"}).status_code == 404


def test_the_workshop_reads_who_stands_by_and_what_is_on_offer(client, visit):
    offer = offered(client, visit)
    client.force_login(garage.front_desk())
    page = client.get(reverse("standby")).text
    assert f"visit {offer.time.visit.number}" in page
    assert "called off" in page
    assert "open until" in page
    assert "2 hours’ notice, any day" in page.replace("2 Hours", "2 hours")


def test_the_page_of_thanks_leads_to_standby(client, visit):
    session = client.session
    session["booked"] = visit.number
    session.save()
    assert address("owner-standby", visit) in client.get(reverse("booked")).text


def test_an_owner_whose_machine_is_here_waits_for_nothing_sooner(client, visit):
    booking.arrived(visit)
    assert "nothing sooner to wait for" in client.get(address("owner-standby", visit)).text
    assert client.post(address("owner-standby", visit), ASKS).status_code == 409


def test_the_desk_puts_a_visit_on_standby_for_an_owner_who_rings_and_off_again(client, visit):
    desk = garage.front_desk()
    at = reverse("visit-standby", args=[visit.number])
    assert client.get(at).status_code == 302
    client.force_login(desk)
    assert "Put it on standby" in client.get(at).text
    assert client.post(at, ASKS | {"weekdays": []}).status_code == 422
    assert client.post(at, ASKS).status_code == 302
    assert Standby.objects.get().visit == visit
    assert visit.trail.filter(did__startswith="on standby", by=desk).exists()
    client.post(at, {"off": "off"})
    assert not Standby.objects.exists()


def test_the_desk_answers_an_offer_for_an_owner_who_rings(client, visit):
    offer = offered(client, visit)
    client.force_login(garage.front_desk())
    page, answer = (
        reverse(name, args=args)
        for name, args in (("visit-standby", [visit.number]), ("visit-offer", [visit.number, offer.pk]))
    )
    assert answer in client.get(page).text
    assert "Say yes or no." in client.post(answer, {}, follow=True).text
    assert client.post(answer, {"answer": "yes"}).status_code == 302
    assert Visit.objects.get(pk=visit.pk).starts_at == offer.time.starts_at
    assert "gone to somebody else" in client.post(answer, {"answer": "yes"}, follow=True).text
