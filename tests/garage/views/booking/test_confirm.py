"""An owner confirms by the mailed link; the desk by the ring list."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from garage.changes.visit import bookings, confirming
from garage.core import states
from garage.models.messages import Message
from garage.models.unconfirmed import Unconfirmed
from garage.models.visits import Visit
from garage.reads import links
from tests.factories import booking, garage

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)
WHO = {"name": "Robin Ashworth", "email": "robin@example.org", "telephone": "07700 900321", "machine_kind": "another"}


@pytest.fixture
def visit(settings) -> Visit:
    settings.EMAIL_URL = "smtp://127.0.0.1:25"
    garage.shop()
    garage.person()
    garage.person()
    draft = booking.draft(garage.visit_kind(), booking.at_local(booking.workday(ahead=6), 10))
    return bookings.book_online(draft, browser="mine", address_key="here", now=timezone.now())


@pytest.fixture
def desk(client) -> Client:
    client.force_login(garage.front_desk())
    return client


def address(visit, name="owner-confirm", purpose=links.CONFIRM):
    return reverse(name, args=[links.token(visit, purpose)])


def lapsed(visit) -> Visit:
    Unconfirmed.objects.update(until=timezone.now())
    return confirming.lapse(visit, now=timezone.now())


def test_opening_the_link_confirms_nothing_since_mail_scanners_open_links(client, visit):
    for ask in (client.get, client.head):
        answer = ask(address(visit))
        assert (answer.status_code, answer["Referrer-Policy"]) == (200, "no-referrer")
    assert "Yes, I’m coming" in client.get(address(visit)).text
    visit.refresh_from_db()
    assert visit.state == states.HELD


def test_the_button_confirms_it_and_leads_to_the_visit(client, visit):
    answer = client.post(address(visit))
    assert answer["Location"] == address(visit, "owner-visit", links.VISIT)
    assert client.get(answer["Location"]).status_code == 200
    visit.refresh_from_db()
    assert visit.state == states.BOOKED
    again = client.get(address(visit))
    assert again["Location"] == answer["Location"]
    assert client.post(address(visit))["Location"] == answer["Location"]
    assert Message.objects.filter(what="visit_booked").count() == 1


def test_no_other_link_of_it_opens_before(client, visit):
    for name, purpose in (("owner-visit", links.VISIT), ("owner-move", links.VISIT), ("sheet", links.SHEET)):
        assert client.get(address(visit, name, purpose)).status_code == 410
    assert client.get(address(visit, purpose=links.VISIT)).status_code == 410


def test_whoever_presses_late_takes_it_again_or_is_offered_the_nearest(client, visit):
    start = visit.starts_at
    lapsed(visit)
    page = client.get(address(visit)).text
    assert "Your time was given up" in page
    assert "Take it, if it is still free" in page
    other = booking.draft(visit.kind, start, email="ann@example.org", telephone="07700 900999")
    bookings.book_at_the_desk(other, by=garage.front_desk(), now=timezone.now())
    answer = client.post(address(visit))
    assert answer.status_code == 409
    assert "is not free any more" in answer.text
    near = answer.context["near"]
    assert near
    assert client.post(address(visit), {"starts_at": near[0].isoformat()}).status_code == 302
    visit.refresh_from_db()
    assert (visit.state, visit.starts_at) == (states.BOOKED, near[0])


def test_whoever_presses_late_and_finds_it_free_has_it(client, visit):
    start = visit.starts_at
    lapsed(visit)
    assert client.post(address(visit)).status_code == 302
    visit.refresh_from_db()
    assert (visit.state, visit.starts_at) == (states.BOOKED, start)


def test_junk_for_a_time_is_refused(client, visit):
    lapsed(visit)
    assert client.post(address(visit), {"starts_at": "soon"}).status_code == 422


def test_the_page_after_booking_says_what_is_left_and_holds_no_link(client, settings):
    settings.EMAIL_URL = "smtp://127.0.0.1:25"
    garage.shop()
    garage.person()
    garage.visit_kind()
    start = booking.at_local(booking.workday(ahead=6), 10)
    client.post(reverse("book-hold"), {"kind": "set-up", "starts_at": start.isoformat()})
    client.post(reverse("book-who"), WHO | {"machine_words": "Corrick 125"})
    page = client.post(reverse("book-confirm"), follow=True).text
    visit = Visit.objects.get()
    assert "One thing is left, Robin Ashworth." in page
    assert "robin@example.org" in page
    assert visit.unconfirmed.address_key
    for purpose in (links.SHEET, links.VISIT, links.CONFIRM):
        assert links.token(visit, purpose) not in page
    lapsed(visit)
    assert "so its time is free again" in client.get(reverse("booked")).text
    client.post(address(visit))
    assert "Booked. Thank you, Robin Ashworth." in client.get(reverse("booked")).text


def test_the_ring_list_has_it_with_its_number_and_a_button(desk, visit):
    page = desk.get(reverse("ring-list")).text
    assert "Booked online, not confirmed yet" in page
    assert 'href="tel:+447700900321"' in page
    assert "Nobody to ring" not in page
    answer = desk.post(reverse("ring-list-confirm", args=[visit.number]), follow=True)
    assert f"Visit {visit.number} stands." in answer.text
    assert "not confirmed yet" not in answer.text
    visit.refresh_from_db()
    assert visit.state == states.BOOKED


def test_the_desk_is_told_that_what_it_confirms_has_lapsed(desk, visit):
    lapsed(visit)
    answer = desk.post(reverse("ring-list-confirm", args=[visit.number]), follow=True)
    assert "was not confirmed in time, and its time is free again: book it anew" in answer.text


def test_the_ring_list_says_why_nobody_can_book_online(desk, visit):
    assert "Nobody can book online" not in desk.get(reverse("ring-list")).text
    garage.shop(most_unconfirmed=1)
    assert "Online bookings that wait to be confirmed: 1, which is the most" in desk.get(reverse("ring-list")).text


def test_the_visits_page_says_that_it_is_not_confirmed_and_offers_to_confirm_or_take_in(desk, visit):
    page = desk.get(reverse("visit", args=[visit.number])).text
    assert "Held, not confirmed yet" in page
    assert reverse("ring-list-confirm", args=[visit.number]) in page
    assert reverse("take-in", args=[visit.number]) in page
    assert reverse("visit-move", args=[visit.number]) not in page
    day = desk.get(reverse("day-sheet-on", args=[f"{visit.starts_at:%Y-%m-%d}"])).text
    assert f"Take in {visit.number}" in day
