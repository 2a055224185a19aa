"""One freed time, wanted by everybody at once, through the started production server with four processes.

Two owners on standby say yes, the desk books it, and two browsers book it from pages loaded before it was given back.
On a SQLite file and on PostgreSQL exactly one has it, whether it is still kept for standby or on sale again. So it is
with machines in the building, whose owners are asked whether the work may go on.
"""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from http.client import HTTPConnection
from urllib.parse import urlencode, urlsplit

import pytest

from tests import servers

pytestmark = pytest.mark.long(minutes=1)

PROCESSES = 4
CSRF = "c" * 32

SET_UP = """
from tests.factories import garage
garage.shop(holds_per_address_and_hour=30000)
garage.person(first_name="Jo")
garage.person(first_name="Sam")
garage.boss()
garage.visit_kind(slug="set-up", minutes=90)
"""

LAY_OUT = """
import json, uuid
from datetime import timedelta
from importlib import import_module
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.urls import reverse
from django.utils import timezone
from garage.changes.visit import standby, visits
from garage.models.actors import OWNER
from garage.models.people import Person
from garage.models.shop import VisitKind
from garage.models.standby import FreedTime, Offer
from garage.models.visits import Hold
from garage.reads import links
from tests.factories import booking

kind, now = VisitKind.objects.get(), timezone.now()
starts_at = booking.at_local(booking.open_day({nth}), 10)
had = booking.booked(kind, starts_at)
others = [booking.booked(kind, booking.at_local(booking.open_day({nth} + 1), hour)) for hour in (9, 14)]
for other in others:
    standby.ask(other, notice_hours=0, weekdays=range(7), by=OWNER, now=now)
visits.call_off_by_owner(had, why="", now=now)
time = FreedTime.objects.get(visit=had)
assert time.hold
for other in others:
    offer = Offer.objects.create(time=time, visit=other, offered_at=now, open_until=now + timedelta(hours=1))
    path = reverse("owner-offer", args=[links.token(other, links.VISIT), offer.pk])
    print("LAID " + json.dumps(["offer", path, "", dict(answer="yes")]))
if {is_over}:
    Hold.objects.filter(freed_time=time).update(expires_at=now)

store = import_module("garage.models.sessions").SessionStore
boss = Person.objects.get(role=Person.BOSS)
session = store()
session[SESSION_KEY], session[BACKEND_SESSION_KEY] = str(boss.pk), "django.contrib.auth.backends.ModelBackend"
session[HASH_SESSION_KEY] = boss.get_session_auth_hash()
session.create()
who = dict(name="Robin Ashworth", email="robin@example.org", telephone="07700 900321", machine_kind="another",
           machine_words="Corrick 185", year=None, wants="")
told = dict.fromkeys(("nipped", "pinking", "leaks"), "no")
typed = dict(kind="set-up", key=str(uuid.uuid4()), starts_at=starts_at.isoformat(), **(who | dict(year=""))) | told
print("LAID " + json.dumps(["desk", reverse("desk-booking"), session.session_key, typed]))
for _ in range(2):
    session = store()
    session["browser"] = str(uuid.uuid4())
    session["booking"] = dict(key=str(uuid.uuid4()), kind="set-up", starts_at=starts_at.isoformat(), who=who)
    session.create()
    print("LAID " + json.dumps(["public", reverse("book-confirm"), session.session_key, dict()]))
print("TIME " + starts_at.strftime("%Y-%m-%d %H:%M"))
"""

# Three machines left with us, whose owners are asked about one time: two have the link, the third has rung the desk.
LAY_OUT_HERE = """
import json
from datetime import timedelta
from importlib import import_module
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.urls import reverse
from django.utils import timezone
from garage.changes.visit import visits
from garage.models.people import Person
from garage.models.shop import VisitKind
from garage.models.standby import FreedTime, Offer
from garage.reads import links
from tests.factories import booking

kind, now = VisitKind.objects.get(), timezone.now()
starts_at = booking.at_local(booking.open_day({nth}), 10)
had = booking.booked(kind, starts_at)
here = [booking.left_with_us(kind, booking.at_local(booking.open_day(14), 9), now=now) for _ in range(3)]
visits.call_off_by_owner(had, why="", now=now)
time = FreedTime.objects.get(visit=had)
assert time.hold
until = now + timedelta(hours=1)
asked = [
    Offer.objects.create(time=time, visit=visit, in_the_building=True, offered_at=now, open_until=until)
    for visit in here
]
for offer in asked[:2]:
    path = reverse("owner-offer", args=[links.token(offer.visit, links.VISIT), offer.pk])
    print("LAID " + json.dumps(["offer", path, "", dict(answer="yes")]))
store = import_module("garage.models.sessions").SessionStore
boss = Person.objects.get(role=Person.BOSS)
session = store()
session[SESSION_KEY], session[BACKEND_SESSION_KEY] = str(boss.pk), "django.contrib.auth.backends.ModelBackend"
session[HASH_SESSION_KEY] = boss.get_session_auth_hash()
session.create()
path = reverse("visit-offer", args=[here[2].number, asked[2].pk])
print("LAID " + json.dumps(["desk", path, session.session_key, dict(answer="yes")]))
print("TIME " + starts_at.strftime("%Y-%m-%d %H:%M"))
"""
SWEEP = """
from datetime import timedelta
from django.utils import timezone
from garage.changes.visit import offers
offers.offer_all_due(now=timezone.now() + timedelta(hours=2))
"""


@dataclass(frozen=True)
class Press:
    """who: offer, desk or public."""

    who: str
    path: str
    session: str
    typed: dict[str, str]


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def live(request: pytest.FixtureRequest) -> Iterator[servers.LiveTickover]:
    data, url = request.getfixturevalue("new_garage")(request.param)
    with servers.live_tickover(data, database_url=url, part="web", processes=PROCESSES) as started:
        started.shell(SET_UP)
        yield started


def _lay_out(live: servers.LiveTickover, nth: int, *, is_over: bool) -> tuple[list[Press], str]:
    return _laid(live.shell(LAY_OUT.format(nth=nth, is_over=is_over)).splitlines())


def _laid(said: list[str]) -> tuple[list[Press], str]:
    presses = [Press(*json.loads(line[5:])) for line in said if line.startswith("LAID ")]
    return presses, next(line[5:] for line in said if line.startswith("TIME "))


def _race(live: servers.LiveTickover, presses: list[Press]) -> list[int]:
    """All press at once; the statuses, in order of the presses."""
    barrier = threading.Barrier(len(presses))
    statuses = [0] * len(presses)

    def run(n: int) -> None:
        statuses[n] = _send(live, presses[n], barrier)

    threads = [threading.Thread(target=run, args=(n,)) for n in range(len(presses))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(120)
    return statuses


def _send(live: servers.LiveTickover, press: Press, barrier: threading.Barrier) -> int:
    connection = HTTPConnection(urlsplit(live.base_url).netloc, timeout=100)
    headers = {
        "Content-Type": "application/x-www-form-urlencoded",
        "Cookie": f"sessionid={press.session}; csrftoken={CSRF}",
    }
    try:
        connection.connect()
        barrier.wait(60)
        connection.request("POST", press.path, urlencode({"csrfmiddlewaretoken": CSRF} | press.typed), headers)
        answer = connection.getresponse()
        answer.read()
        return answer.status
    finally:
        connection.close()


def _who_has_it(live: servers.LiveTickover, starts_at: str) -> int:
    rows = live.rows(f"select count(*) from garage_visit where cast(starts_at as text) like '{starts_at}%'")  # noqa: S608
    return rows[0][0]


def _held_or_sold_twice(live: servers.LiveTickover) -> int:
    return len(live.rows("select 1 from garage_soldpiece group by at, place, begins_at having count(*) > 1"))


@pytest.mark.parametrize("nth", [1, 3, 5])
def test_while_it_is_kept_for_standby_one_yes_has_it_and_no_booking(live, nth):
    presses, starts_at = _lay_out(live, nth, is_over=False)
    statuses = _race(live, presses)
    won = [press.who for press, status in zip(presses, statuses, strict=True) if status == 302]
    assert (won, sorted(set(statuses))) == (["offer"], [302, 409])
    assert _who_has_it(live, starts_at) == 1
    assert _held_or_sold_twice(live) == 0


@pytest.mark.parametrize("nth", [7, 9])
def test_once_it_is_on_sale_again_one_booking_has_it_and_no_yes(live, nth):
    presses, starts_at = _lay_out(live, nth, is_over=True)
    statuses = _race(live, presses)
    won = [press.who for press, status in zip(presses, statuses, strict=True) if status == 302]
    assert len(won) == 1
    assert won[0] in {"desk", "public"}
    assert set(statuses) == {302, 409}
    assert _who_has_it(live, starts_at) == 1
    assert _held_or_sold_twice(live) == 0


NEWEST = "select max(time_id) from garage_offer where in_the_building"


def _answers(live: servers.LiveTickover) -> list[str]:
    rows = live.rows(f"select answer from garage_offer where time_id = ({NEWEST}) order by answer")  # noqa: S608
    return [answer for [answer] in rows]


@pytest.mark.parametrize("nth", [11, 12])
def test_of_machines_in_the_building_one_yes_has_the_rollers_whether_by_link_or_at_the_desk(live, nth):
    presses, starts_at = _laid(live.shell(LAY_OUT_HERE.format(nth=nth)).splitlines())
    statuses = _race(live, presses)
    by_link = statuses[:2]
    assert _answers(live) == ["gone", "gone", "yes"]
    assert sorted(by_link) in ([302, 409], [409, 409])  # the desk is led back either way, with the sentence
    assert _who_has_it(live, starts_at) == 1
    assert _held_or_sold_twice(live) == 0


def test_while_the_sweep_lets_the_question_lapse_a_yes_has_it_or_is_told_and_nobody_else_has(live):
    presses, starts_at = _laid(live.shell(LAY_OUT_HERE.format(nth=13)).splitlines())
    sweep = threading.Thread(target=live.shell, args=(SWEEP,))
    sweep.start()
    statuses = _race(live, presses)
    sweep.join(120)
    has_it = _who_has_it(live, starts_at)
    assert has_it == _answers(live).count("yes") <= 1
    assert statuses[:2].count(302) <= has_it
    assert set(statuses) <= {302, 409}
    assert not live.rows(f"select 1 from garage_freedtime where closed_at is null and id = ({NEWEST})")  # noqa: S608
    assert _held_or_sold_twice(live) == 0
