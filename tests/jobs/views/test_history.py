from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.models.owners import Join
from jobs.changes import cards, closing
from jobs.models.cards import CardLine
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db


@pytest.fixture
def boss(client):
    person = garage.boss(first_name="Maddy")
    client.force_login(person)
    return person


def page(client, machine):
    return client.get(reverse("machine", args=[machine.pk])).text


def test_a_machine_shows_all_its_visits_causes_jets_and_owners(client, boss):
    machine = garage.machine(
        owner=garage.owner(name="Alba Thorne"), kind=garage.machine_kind(make="Corrick", model="185")
    )
    first = jobs.visit_here(machine=machine, booked_at=timezone.now() - timedelta(days=400))
    jet = {"words": "Main jet", "before": "98", "after": "102", "pulled_clean": False}
    cards.change_of_jet(first, **jet, by=boss, now=timezone.now())
    cards.found_cause(first, fault="", words="pickup not level", by=boss, now=timezone.now())
    closing.close_with_causes(first, by=boss, now=timezone.now())
    machine.refresh_from_db()
    machine.owner = garage.owner(name="Iver Lund")
    machine.save()
    second = jobs.visit_here(machine=machine)
    cards.looked_good(second, fault="", words="earth at the frame", by=boss, now=timezone.now())
    text = page(client, machine)
    for said in (
        "2 visits",
        "Pickup not level",
        "98 out, 102 in",
        "earth at the frame",
        "Alba Thorne, from",
        "Iver Lund, from",
    ):
        assert said in text
    assert "<dt>Main jet</dt><dd>102</dd>" in text
    assert "54 mm" in text


def test_a_measure_different_from_the_kind_s_is_marked(client, boss):
    machine = garage.machine(kind=garage.machine_kind(), stroke_mm=57)
    text = page(client, machine)
    assert "57 mm (not as its kind)" in text
    assert "110 mm<" in text


def test_a_joined_machine_answers_as_the_one_it_was_joined_into(client, boss):
    kept, duplicate = garage.machine(words="Tarnhow 250"), garage.machine(words="tarnhow")
    duplicate.joined_into = kept
    duplicate.save()
    Join.objects.create(what="machine", kept_id=kept.pk, joined_id=duplicate.pk, moved={}, at=timezone.now(), by=boss)
    assert "Tarnhow 250" in page(client, duplicate)
    assert "Joined with another record" in page(client, kept)


def test_an_unknown_machine_is_not_found(client, boss):
    assert client.get(reverse("machine", args=[9999])).status_code == 404


def test_a_long_history_takes_no_more_queries(client, boss, django_assert_max_num_queries):
    machine = garage.machine()
    for _ in range(8):
        visit = jobs.visit_here(machine=machine)
        cards.note(visit, what=CardLine.WORK, words="looked", by=boss, now=timezone.now())
    with django_assert_max_num_queries(14):  # one for the runs, one for its estimates
        assert "8 visits" in page(client, machine)
