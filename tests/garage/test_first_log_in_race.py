"""Several browsers with the same right code at once: one boss, on both databases."""

from __future__ import annotations

import re
import threading
from http.client import HTTPConnection
from urllib.parse import urlencode, urlsplit

import pytest

from tests import servers

pytestmark = pytest.mark.long

SEVERAL = 10  # as many tries as an address has: more at once might all be refused
CSRF = "c" * 32


def sends(live: servers.LiveTickover, n: int, code: str, barrier: threading.Barrier, answers: list[int]) -> None:
    who = {"first_name": f"Boss {n}", "username": f"boss{n}", "password": "quarry-lane-77", "again": "quarry-lane-77"}
    headers = {"Content-Type": "application/x-www-form-urlencoded", "Cookie": f"csrftoken={CSRF}"}
    connection = HTTPConnection(urlsplit(live.base_url).netloc, timeout=100)
    try:
        connection.connect()
        barrier.wait(60)
        connection.request("POST", "/begin/", urlencode(who | {"code": code, "csrfmiddlewaretoken": CSRF}), headers)
        answers[n] = connection.getresponse().status
    finally:
        connection.close()


@pytest.mark.parametrize("database", ["sqlite", "postgresql"])
def test_of_several_with_the_code_one_becomes_the_boss(database, new_garage):
    data, url = new_garage(database)
    with servers.live_tickover(data, database_url=url, part="web", processes=4) as live:
        code = re.search(r"/begin/ with the code (\S+)", "".join(live.said))[1]
        answers, barrier = [0] * SEVERAL, threading.Barrier(SEVERAL)
        threads = [
            threading.Thread(target=sends, args=(live, n, code, barrier, answers), daemon=True) for n in range(SEVERAL)
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(120)
        assert answers.count(302) == 1
        assert set(answers) <= {302, 404, 409, 422}  # 422: the code was spent when it was looked at
        assert live.rows("select count(*) from garage_person") == [(1,)]
        assert live.rows("select count(*) from garage_shop") == [(1,)]
        assert live.rows("select count(*) from garage_startcode") == [(0,)]
