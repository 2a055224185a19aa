"""How often each page asks the database at most, with the demo's rows in it."""

from __future__ import annotations

import pytest
from django.contrib.auth import get_user_model
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from jobs.demo import garage, visits
from tests.browser import addresses as places

MOST = {  # what was counted, at any hour of the demo: one query a row, or one asked twice, is one too many
    "front": 15,
    "ask-me": 1,
    "sheet": 8,
    "sheet-question": 9,  # one for the way back: in which order it was answered
    "sheet-send": 7,
    "sheet-outcome": 12,
    "sheet-clip": 8,
    "book-time": 13,  # and what is kept free, as on each page that offers times
    "book-who": 5,
    "book-look": 4,
    "booked": 3,
    "log-in": 1,
    "privacy": 1,
    "guides": 1,
    "guide": 1,
    "begin-open": 16,
    "account": 5,
    "needs-mending": 8,  # mails gone out, mails that wait, clips, trail, the last look through the book: one each
    "second-factor": 4,
    "search": 7,
    "owner-confirm": 3,
    "owner-report": 10,
    "owner-visit": 15,  # its judgement, for what pointed to the route; a time that came free; credit notes, estimates
    "owner-asked": 5,
    "owner-estimate": 4,
    "owner-call-off": 2,
    "owner-move": 13,
    "owner-choose": 5,
    "owner-leave": 15,
    "owner-leave-look": 5,
    "owner-guide": 10,
    "owner-guides": 8,  # its answers: a test that must not be done is not sent
    "owner-time": 4,
    "owner-standby": 2,
    "owner-offer": 3,
    "owner-reminders": 4,
    "owner-clip": 3,
    "findings": 11,
    "clip": 6,
    "gate": 16,  # its photos, and the session still to come: without one the straps are not asked for
    "desk-booking": 17,
    "visit-move": 15,
    "visit-move-look": 4,
    "visit-time": 15,
    "visit-bench-limit": 4,
    "visit-standby": 5,
    "visit-call-off": 4,
    "visit-put-off": 4,
    "visit-write": 4,
    "visit-guides": 10,  # as owner-guides
    "visit-safety": 5,
    # The times of the day that came free, and who was asked; and steps that an accepted plan has of visits gone since.
    "day-sheet": 16,
    "day-sheet-on": 16,
    "week": 13,
    "week-of": 12,
    "wall": 13,
    "wall-by-link": 11,
    "fix-first": 4,
    "ring-list": 10,  # who has not answered, what nobody has confirmed, how much was booked online in the last hour
    "standby": 7,
    "take-in": 5,  # its photos
    "visit-link": 4,
    "sent": 5,
    "sent-message": 5,
    "delivery-report": 3,
    "owners": 5,
    "owners-doubles": 7,
    "owner": 7,
    "owner-erase": 6,  # the records joined to it, and what is still open
    "machine-measures": 6,
    "shop": 14,  # and the coming days, read once, that are planned with clear minutes and without
    "shop-hours": 4,
    "shop-days": 4,
    "shop-kept-free": 4,
    "shop-stations": 4,
    "shop-kinds": 4,
    "shop-kind": 4,
    "shop-machine-kinds": 4,
    "shop-machine-kind": 4,
    "shop-lists": 3,
    "shop-list": 5,
    "shop-everything": 4,
    "shop-packers": 4,
    "shop-rollers": 4,
    "shop-parts": 5,  # what was ordered for work that is over
    "shop-part": 4,
    "shop-messages": 4,
    "shop-message": 10,  # the visit it is shown with, its invoice and its service reminder
    "shop-people": 5,  # what happened at the log-in
    "shop-person": 9,  # where they are logged in, and what happened there
    "cards": 6,
    "visits": 8,  # and what is still to pay
    "visit": 22,  # its estimates; its credit notes and what it waits for; what its owner was told about its safety
    # What its owner was told about its safety, and asked; parts to choose from, and that are ordered; its step and
    # where that can begin; its runs, the units they are shown in and the machine's run before them; lines by hand.
    "card": 24,
    "card-ask": 11,
    "card-asked": 7,
    "card-ask-again": 12,
    "invoice-above": 13,
    "card-labour-right": 5,
    "card-cause-correct": 7,
    "card-cause-late": 5,
    "visit-runs": 8,
    "visit-runs-wall": 7,
    "run-file": 9,
    "estimate": 6,
    "estimate-draft": 6,
    "invoice-issue": 15,  # lines by hand, what the owner said yes to, which estimate, and what somebody let through
    "deposit-add": 4,
    "deposit-keep": 4,
    "deposit-wait": 4,
    "credit-note-issue": 5,  # and what was given back before
    "invoice": 8,  # and its credit notes, with what went back with them
    "invoice-credit": 10,
    "the-book": 12,  # and deposits of visits that are over; what credit notes took off, of the period and of the owed
    "book-vat": 7,  # the whole book as values, however large
    "book-owed": 6,
    "counter-sale": 3,
    "owner-statement": 7,
    "learned": 13,  # freed times, who stood there, and what is left of cards past their time: once each, however many
    "learned-weeks": 16,  # the days of the planner, and of them judgements, causes and steps: however many days
    "machine": 13,  # and its runs and estimates, however many visits
    "machine-degrees": 4,
    "machine-packers": 6,
}


@pytest.mark.django_db
def test_no_page_asks_the_database_oftener_than_its_number():
    now = timezone.now()
    visits.told(garage.founded_to_play(now), now)
    paths = places.addresses()
    clients = clients_of(paths)
    asked = {name: _asked(clients[who], paths[name]) for name, who in places.PAGES.items()}
    assert asked.keys() == MOST.keys()
    assert {name: count for name, count in asked.items() if count > MOST[name]} == {}


def _asked(client: Client, paths: list[str]) -> int:
    """The most of all addresses of one name."""
    most = 0
    for path in paths:
        with CaptureQueriesContext(connection) as queries:
            answer = client.get(path)
        assert answer.status_code == 200, path
        most = max(most, len(queries))
    return most


def clients_of(paths: dict[str, list[str]]) -> dict[str, Client]:
    boss, holder, booked = Client(), Client(), Client()
    boss.force_login(get_user_model().objects.get(username="boss"))
    for client in (holder, booked):
        _holds(client, paths["book-time"][1])
    booked.post("/book/confirm/", follow=True)
    return {places.ANYBODY: Client(), places.HOLDER: holder, places.BOOKED: booked, places.BOSS: boss}


def _holds(client: Client, path: str) -> None:
    days = client.get(path).context["days"]
    client.post("/book/hold/", {"kind": path.split("/")[-2], "starts_at": days[0].times[0].isoformat()})
    typed = {"name": "Jody Wray", "email": "jody.wray@example.org", "telephone": "07700 900333"}
    answer = client.post("/book/who/", typed | {"machine_kind": "another", "machine_words": "Corrick 185"})
    assert answer.status_code == 302
