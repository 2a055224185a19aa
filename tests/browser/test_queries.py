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

MOST = {  # two above what was counted when it was written: room for a small change, none for one query a row
    "front": 17,
    "ask-me": 3,
    "sheet": 10,
    "sheet-question": 10,
    "sheet-send": 9,
    "sheet-outcome": 13,
    "sheet-clip": 9,
    "book-time": 14,
    "book-who": 7,
    "book-look": 6,
    "booked": 5,
    "log-in": 3,
    "owner-visit": 12,
    "owner-call-off": 4,
    "owner-move": 14,
    "owner-clip": 5,
    "findings": 12,
    "clip": 8,
    "gate": 14,
    "desk-booking": 18,
    "visit-move": 16,
    "visit-time": 16,
    "visit-call-off": 6,
    "day-sheet": 21,
    "day-sheet-on": 18,
    "fix-first": 7,
    "ring-list": 7,
    "take-in": 6,
    "visit-link": 6,
    "sent": 7,
    "sent-message": 7,
    "owners": 7,
    "owners-doubles": 9,
    "owner": 9,
    "machine-measures": 8,
    "shop": 7,
    "shop-hours": 6,
    "shop-days": 7,
    "shop-stations": 6,
    "shop-kinds": 6,
    "shop-kind": 6,
    "shop-machine-kinds": 6,
    "shop-machine-kind": 6,
    "shop-packers": 6,
    "shop-people": 6,
    "shop-person": 10,
    "visits": 7,
    "visit": 18,
    "card": 15,
    "card-labour-right": 7,
    "card-cause-correct": 9,
    "card-cause-late": 7,
    "invoice-issue": 33,
    "deposit-add": 6,
    "invoice": 9,
    "the-book": 14,
    "learned": 11,
    "machine": 14,
    "machine-degrees": 6,
    "machine-packers": 8,
}


@pytest.mark.django_db
def test_no_page_asks_the_database_oftener_than_its_number():
    visits.told(garage.founded(), timezone.now())
    paths = places.addresses()
    clients = _clients(paths)
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


def _clients(paths: dict[str, list[str]]) -> dict[str, Client]:
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
