"""A machine in the building: its owner says yes or no on the visit's own page, or beforehand; or the desk does."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from garage.changes.visit import visits
from garage.models.standby import FreedTime, Offer
from garage.models.visits import Visit
from garage.reads import links
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db


@pytest.fixture
def waits(kind):
    garage.person()
    return booking.left_with_us(kind, booking.at_local(booking.workday(ahead=9), 14), now=timezone.now())


@pytest.fixture
def asked(waits, kind):
    """About a time of another day, so that the test may run at any hour."""
    gives = booking.booked(kind, booking.at_local(booking.workday(ahead=5), 10), email="gives@example.org")
    now = timezone.now()
    garage.shop(standby_minutes=120)
    visits.call_off_by_owner(gives, why="", now=now)
    until = now + timedelta(minutes=20)
    return Offer.objects.create(
        time=FreedTime.objects.get(), visit=waits, in_the_building=True, offered_at=now, open_until=until
    )


def address(name, visit, *args):
    return reverse(name, args=[links.token(visit, links.VISIT), *args])


def test_the_visits_own_page_asks_and_one_tap_answers(client, waits, asked):
    page = client.get(address("owner-visit", waits)).text
    for words in ("May the work go on?", "£120.00, as booked", "Open until", "Yes, go on", "No, not now"):
        assert words in page
    assert f'action="{address("owner-offer", waits, asked.pk)}"' in page
    alone = client.get(address("owner-offer", waits, asked.pk)).text
    assert "Yes, go on" in alone
    assert "half an hour before" not in alone
    answer = client.post(address("owner-offer", waits, asked.pk), {"answer": "yes"})
    assert answer["Location"] == address("owner-visit", waits)
    assert Visit.objects.get(pk=waits.pk).starts_at == asked.time.starts_at
    assert "You said yes: it goes on the rollers" in client.get(address("owner-offer", waits, asked.pk)).text
    assert "Yes, go on" not in client.get(address("owner-visit", waits)).text


def test_a_no_is_one_tap_too_and_the_page_says_what_follows(client, waits, asked):
    client.post(address("owner-offer", waits, asked.pk), {"answer": "no"})
    assert Visit.objects.get(pk=waits.pk).starts_at is None
    assert "You said no: it stays here" in client.get(address("owner-offer", waits, asked.pk)).text


def test_too_late_the_answer_is_a_plain_sentence(client, waits, asked):
    Offer.objects.update(open_until=timezone.now())
    answer = client.post(address("owner-offer", waits, asked.pk), {"answer": "yes"})
    assert answer.status_code == 409
    assert "The rollers have gone to another machine, or the time to answer is over." in answer.text


def test_an_owner_agrees_beforehand_and_takes_it_back(client, waits):
    assert "we ask you before your machine goes on" in client.get(address("owner-visit", waits)).text
    answer = client.post(address("owner-go-on", waits))
    assert answer["Location"] == f"{address('owner-visit', waits)}#go-on"
    page = client.get(address("owner-visit", waits)).text
    assert "that we may go on with the rollers when they come free" in page
    assert "£120.00, as booked" in page
    client.post(address("owner-go-on", waits), {"off": "off"})
    assert Visit.objects.get(pk=waits.pk).may_go_on_from is None
    refused = client.post(address("owner-go-on", waits), {"off": "off"}, follow=True)
    assert "is taken back already" in refused.text


def test_the_link_of_another_visit_agrees_to_nothing_here(client, waits, visit):
    refused = client.post(address("owner-go-on", visit), follow=True)
    assert "there is nothing to agree" in refused.text
    assert client.post(reverse("owner-go-on", args=["wrong"])).status_code == 410
    assert Visit.objects.get(pk=waits.pk).may_go_on_from is None


def test_the_desk_puts_down_what_an_owner_says_who_rings(desk, waits, asked):
    page = reverse("visit-standby", args=[waits.number])
    assert page in desk.get(reverse("visit", args=[waits.number])).text
    shown = desk.get(page).text
    for words in ("Asked until", "whether the work may go on, £120.00 as booked", "Yes, the work may go on"):
        assert words in shown
    assert "nothing sooner to wait for" not in shown
    desk.post(reverse("visit-go-on", args=[waits.number]))
    assert "It may go on with the rollers when they come free" in desk.get(page).text
    desk.post(reverse("visit-go-on", args=[waits.number]), {"off": "off"})
    desk.post(reverse("visit-offer", args=[waits.number, asked.pk]), {"answer": "yes"})
    assert Visit.objects.get(pk=waits.pk).starts_at == asked.time.starts_at


def test_the_standby_page_says_who_is_asked_first(desk, waits):
    assert "here, and waits for the rollers; its owner is asked first" in desk.get(reverse("standby")).text.lower()


def test_without_a_log_in_the_desk_agrees_to_nothing(waits):
    assert Client().post(reverse("visit-go-on", args=[waits.number])).status_code == 302
    assert Visit.objects.get(pk=waits.pk).may_go_on_from is None
