"""A usual visit in few taps, from the day sheet to the closed card, on the pages themselves.

A tap is a link, a button, a tick, or a fold that is opened. What is typed and the gate's own lines are not counted: the
first is the same on any page, the second must be answered one by one.
"""

from __future__ import annotations

from urllib.parse import urljoin, urlsplit

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.core import states
from garage.models.visits import Step, Visit
from jobs.models.cards import Card, CardLine, Labour
from jobs.tour.pages import Page
from tests.factories import garage

pytestmark = pytest.mark.django_db
BEFORE = 24  # taps for the same visit before part, reading and note stood beside the step in hand


class Thumb:
    """What one thumb does. taps: so far. lands_on: the address after the last one, with its place on the page."""

    def __init__(self, client, address):
        self.client, self.taps, self.ticked = client, 0, {}
        self._shows(client.get(address))
        self.lands_on = address

    def follows(self, words):
        address = next(href for said, href in self.page.links if words in said)
        self.taps += 1
        self.lands_on = urljoin(self.lands_on, address)
        self._shows(self.client.get(self.lands_on))

    def ticks(self, name):
        self.taps += 1
        self.ticked[name] = "on"

    def opens(self, summary):
        assert summary in self.page.text
        self.taps += 1

    def presses(self, words, **typed):
        form, button = next(
            (form, button) for form in self.page.forms for button in form.buttons if button.words.startswith(words)
        )
        values = {name: given[0] for name, given in form.fields.items()} | self.ticked | typed
        if button.name:
            values[button.name] = button.value
        self.taps += 1
        self.ticked = {}
        answer = self.client.post(urljoin(self.lands_on, form.action), values)
        assert answer.status_code == 302, answer.text
        self.lands_on = urljoin(self.lands_on, answer["Location"])
        self._shows(self.client.get(self.lands_on))

    def _shows(self, answer):
        assert answer.status_code == 200
        self.page = Page(answer.text)

    @property
    def place(self):
        return urlsplit(self.lands_on).fragment


def test_a_usual_visit_takes_less_than_half_of_the_taps_it_took(client):
    garage.shop()
    client.force_login(garage.person())
    visit = garage.visit(state=states.BOOKED, starts_at=timezone.now())
    Step.objects.create(visit=visit, index=0, at="roller", minutes=90, what="set-up")
    arriving = Thumb(client, reverse("day-sheet"))
    arriving.follows(f"Take in {visit.number}")
    arriving.ticks("key_left")
    arriving.presses("It is here, on a trailer")
    arriving.presses("Start the gate")
    Visit.objects.update(gate_passed_at=timezone.now())
    working = Thumb(client, reverse("card", args=[visit.number]))
    working.presses("Start set-up at Roller 1")
    assert working.place == "hand"
    for kind in ("Part", "Jet", "Reading"):
        working.opens(kind)
    working.presses(
        "Write it on the card",
        **{"note-words": "Pulls cleanly to the top."},
        **{"part-words": "Main jet 102", "part-quantity": "1", "part-price_each": "4.50"},
        **{"jet-before": "98", "jet-after": "102"},
        **{"reading-of": "", "reading-words": "best pull", "reading-after": "14.2", "reading-unit": "kW"},
    )
    assert working.place == "hand"
    working.presses("Finish: set-up")
    assert working.place == "hand"
    working.presses("Close the card: nothing wrong")
    card = Card.objects.get()
    assert card.closed_at
    assert CardLine.objects.count() == 4
    assert Labour.objects.get().ended_at
    assert (arriving.taps, working.taps) == (4, 7)
    assert (arriving.taps + working.taps) * 2 < BEFORE
