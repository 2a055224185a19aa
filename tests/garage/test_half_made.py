"""All of a deed or nothing of it: where a process is killed in the middle of it, and where the database is locked.

More of it, with the whole garage under load, by `make bench` (tests/bench/kills.py).
"""

from __future__ import annotations

import contextlib
import random
import time
from collections.abc import Iterator, Sequence

import pytest

from tests import kills
from tests.processes import descendants
from tests.servers import Garage, resting_garage

pytestmark = pytest.mark.long

KILLS = 3
on_both = pytest.mark.parametrize("garage", ["sqlite", "postgresql"], indirect=True)
on_the_small_one = pytest.mark.parametrize("garage", ["sqlite"], indirect=True)


@pytest.fixture(scope="module")
def garage(request: pytest.FixtureRequest) -> Iterator[Garage]:
    data, url = request.getfixturevalue("new_garage")(request.param)
    with resting_garage(data, url) as made:
        made.shell(kills.SET_UP)
        yield made


def _killed_after(garage: Garage, seconds: float, works: Sequence[str] = (kills.WORK, kills.WORK)) -> None:
    """Two at once, so that one is likely to hold what the other waits for. Each is killed, whatever happens here."""
    with contextlib.ExitStack() as killed_at_the_end:
        begun = [killed_at_the_end.enter_context(garage.begin(work)) for work in works]
        for work in begun:
            work.wait_for(kills.MADE)
        time.sleep(seconds)


@on_both
def test_killed_at_random_moments_nothing_is_half_made_and_no_number_is_missing(garage):
    chance = random.Random(17)
    for _ in range(KILLS):
        _killed_after(garage, chance.random() / 4)
    assert kills.half_made(garage) == {}
    assert min(kills.made(garage)) >= 2 * KILLS


@on_the_small_one
def test_twin_what_is_half_made_is_found(garage):
    _killed_after(garage, 0.0)
    (message, visit), *_ = garage.rows("select id, visit_id from garage_message where visit_id is not null limit 1")
    garage.rows(f"update garage_message set visit_id = null where id = {message}")  # noqa: S608
    found = kills.half_made(garage)
    garage.rows(f"update garage_message set visit_id = {visit} where id = {message}")  # noqa: S608
    assert found == {"visits without all that belongs to them": 1}


@on_the_small_one
def test_of_two_at_work_the_other_is_killed_before_it_has_made_anything_if_one_fails(garage):
    with pytest.raises(AssertionError, match="it broke"):
        _killed_after(garage, 0.0, works=["raise RuntimeError('it broke')", kills.WORK])
    assert descendants(garage.warm.program.pid) == set()


LOOKED_AT = """
import time
from datetime import timedelta
from urllib.parse import urlencode
from django.db import connection
from django.test import Client
from django.utils import timezone
from garage.models.people import Person
from garage.models.sessions import SEEN
from tests.factories import garage
client = Client(raise_request_exception=False, headers={"host": "127.0.0.1"})
client.force_login(Person.objects.get(role="boss"))
session = client.session
session[SEEN] = (timezone.now() - timedelta(hours=1)).isoformat()  # so that the next page notes it
session.save()
owner = garage.owner()
path, typed = f"/owners/{owner.pk}/", {"name": "Jody Wray", "email": "", "telephone": "07700 900333"}
typed |= {"address": "", "language": "en"}
"""
# Another program holds the database, as a copy or a virus scanner does: it waits for 20 s as it is set, here for one.
WHILE_LOCKED = """
import sqlite3
connection.settings_dict["OPTIONS"]["timeout"] = 1
connection.close()
other = sqlite3.connect(connection.settings_dict["NAME"])
other.execute("BEGIN EXCLUSIVE")
begun_s = time.monotonic()
page = client.get("/owners/")
answer = client.post(path, urlencode(typed), content_type="application/x-www-form-urlencoded")
took_s = time.monotonic() - begun_s
other.rollback()
again = client.post(path, typed)
kept = [owner.__class__.objects.get(pk=owner.pk).name]
said = [said for said in ("Nothing was saved", "is busy just now", 'value="Jody Wray"') if said in answer.text]
print("SAID", page.status_code, answer.status_code, again.status_code, len(said), took_s < 60, *kept)
"""


@on_the_small_one
def test_a_locked_database_is_told_in_bounded_time_and_pages_that_read_go_on(garage):
    assert "SAID 200 503 302 3 True Jody Wray" in garage.shell(LOOKED_AT + WHILE_LOCKED)
    assert (garage.data / "signs" / "database-locked").exists()
