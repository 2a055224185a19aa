"""What a phone without a signal has kept: taps and notes count from when they were tapped, and only once."""

from __future__ import annotations

from datetime import datetime, timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.models.trail import TrailRow
from garage.models.visits import Photo
from jobs.changes import labour
from jobs.models.book import SentForm
from jobs.models.cards import Card, CardLine, Labour
from jobs.views.card import OWN_CLOCK
from tests.factories import garage, jobs
from tests.jobs.views.test_card_asked import upload

pytestmark = pytest.mark.django_db


@pytest.fixture
def jo(client):
    person = garage.person(first_name="Jo")
    client.force_login(person)
    return person


def ago(minutes: int) -> datetime:
    return timezone.now().replace(microsecond=0) - timedelta(minutes=minutes)


def waited(client, name, *args, at: datetime | None = None, **typed):
    """As the page's script sends what has waited. Gives the page that is answered, redirects followed."""
    when = {"tapped_at": at.isoformat()} if at else {}
    return client.post(reverse(name, args=args), {"key": str(uuid4())} | when | typed, follow=True)


def test_start_and_stop_that_waited_count_from_the_taps_and_open_the_card_then(client, jo):
    visit, began, ended = jobs.visit_here(), ago(30), ago(10)
    waited(client, "card-labour-start", visit.number, at=began)
    waited(client, "card-labour-stop", visit.number, OWN_CLOCK, at=ended)
    clock = Labour.objects.get(by=jo)
    assert (clock.began_at, clock.ended_at, clock.card.opened_at) == (began, ended, began)


def test_the_trail_says_when_it_was_tapped_and_when_it_came(client, jo):
    visit, began = jobs.visit_here(), ago(30)
    waited(client, "card-labour-start", visit.number, at=began)
    row = TrailRow.objects.get(visit=visit, did="sent what had waited for the signal")
    assert row.detail["tapped_at"] == began.isoformat()
    assert row.at > began + timedelta(minutes=29)


def test_a_note_that_waited_has_the_time_of_its_tap(client, jo):
    visit, at = jobs.visit_here(), ago(30)
    waited(client, "card-write", visit.number, at=at, **{"note-words": "Plug wet"})
    assert CardLine.objects.get().at == at


def test_a_tap_that_comes_twice_counts_once(client, jo):
    visit, key = jobs.visit_here(), str(uuid4())
    for _ in range(2):
        waited(client, "card-labour-start", visit.number, at=ago(30), key=key)
    assert Labour.objects.filter(by=jo).count() == 1
    stop = str(uuid4())
    for _ in range(2):
        answer = waited(client, "card-labour-stop", visit.number, OWN_CLOCK, at=ago(10), key=stop)
        assert "data-trouble" not in answer.text
    assert waited(client, "card-labour-start", visit.number, key=key).status_code == 200
    assert Labour.objects.get(by=jo).ended_at


def test_a_note_that_comes_twice_is_written_once(client, jo):
    visit, key = jobs.visit_here(), str(uuid4())
    for _ in range(2):
        answer = waited(client, "card-write", visit.number, key=key, **{"note-words": "Plug wet"})
        assert answer.status_code == 200
    assert CardLine.objects.count() == 1


def test_a_note_that_was_refused_can_be_mended_and_sent_under_the_same_key(client, jo):
    visit, key = jobs.visit_here(), str(uuid4())
    assert waited(client, "card-write", visit.number, key=key, **{"reading-words": "Plug gap"}).status_code == 422
    assert not SentForm.objects.exists()
    waited(client, "card-write", visit.number, key=key, **{"reading-words": "Plug gap", "reading-before": "0.9"})
    assert CardLine.objects.count() == 1


def test_a_photo_that_comes_twice_is_kept_once(client, jo):
    visit, key = jobs.visit_here(), str(uuid4())
    for _ in range(2):
        waited(client, "photo-add", visit.number, key=key, photo=upload(), taken_for="card", back="card")
    waited(client, "photo-add", visit.number, photo=upload(), taken_for="card", back="card")
    assert Photo.objects.count() == 2


@pytest.mark.parametrize(
    ("at", "says"),
    [
        (timedelta(minutes=-5), "still to come"),
        (timedelta(days=2), "more than a day ago"),
        (timedelta(hours=5), "before the card was opened"),
    ],
)
def test_a_time_that_cannot_be_is_said_and_nothing_is_written(client, jo, at, says):
    visit = jobs.card().visit
    for name, typed in (("card-labour-start", {}), ("card-write", {"note-words": "Plug wet"})):
        answer = waited(client, name, visit.number, at=timezone.now() - at, **typed)
        assert says in answer.text
    assert [rows.objects.count() for rows in (Labour, CardLine, SentForm)] == [0, 0, 0]


def test_a_time_that_is_none_is_said(client, jo):
    visit = jobs.card().visit
    answer = waited(client, "card-labour-start", visit.number, tapped_at="noon")
    assert "Tapped at is &#x27;noon&#x27;; allowed is a date and time" in answer.text
    assert not Labour.objects.exists()


def test_what_waited_for_a_card_that_was_closed_since_is_refused(client, jo):
    visit = jobs.closed_card().visit
    answer = waited(client, "card-write", visit.number, at=ago(1), **{"note-words": "Plug wet"})
    assert answer.status_code == 409
    assert not CardLine.objects.filter(words="Plug wet").exists()


def test_a_start_that_would_overlap_with_the_persons_other_clock_is_refused(client, jo):
    here, other = jobs.card(by=jo), jobs.card(by=jo)
    clock = Labour.objects.create(card=other, by=jo, began_at=ago(40), ended_at=ago(20))
    answer = waited(client, "card-labour-start", here.visit.number, at=ago(30))
    assert f"Your clock ran on visit {other.visit.number}, Corrick 185, until" in answer.text
    assert list(Labour.objects.all()) == [clock]
    waited(client, "card-labour-start", here.visit.number, at=clock.ended_at)
    assert here.labour.get().began_at == clock.ended_at


def test_another_persons_clock_is_no_overlap(client, jo):
    card = jobs.card(by=jo)
    Labour.objects.create(card=card, by=garage.person(), began_at=ago(40), ended_at=ago(20))
    waited(client, "card-labour-start", card.visit.number, at=ago(30))
    assert card.labour.filter(by=jo).count() == 1


def test_a_stop_tapped_before_the_clock_began_leaves_it_running(client, jo):
    card = jobs.card(by=jo)
    clock = labour.start(card.visit, by=jo, now=ago(10))
    answer = waited(client, "card-labour-stop", card.visit.number, clock.pk, at=ago(30))
    assert "after this stop at" in answer.text
    clock.refresh_from_db()
    assert clock.ended_at is None


def test_a_stop_of_ones_own_clock_stops_none_on_another_card(client, jo):
    here, other = jobs.card(by=jo), jobs.card(by=jo)
    clock = labour.start(other.visit, by=jo, now=ago(10))
    answer = waited(client, "card-labour-stop", here.visit.number, OWN_CLOCK)
    assert f"running on visit {here.visit.number}." in answer.text
    clock.refresh_from_db()
    assert clock.ended_at is None


def test_looking_at_a_card_still_opens_none(client, jo):
    client.get(reverse("card", args=[jobs.visit_here().number]))
    assert not Card.objects.exists()
