"""Asks a started web server for a page, as a proxy in front of it would. No Django here."""

from __future__ import annotations

import threading
import time
from http.client import HTTPConnection, HTTPException
from urllib.parse import urlsplit

from garage.running import machine

ASK_LIMIT_S = 10.0  # s one request may take: a server that dies while handling it would never answer
ASK_EVERY_S = 10.0  # s between two requests to see whether it still answers
STILL_THERE = "/static/mark.svg"  # answered without a database


def status_of(path: str, *, host: str, port: int, site_url: str) -> int | None:
    """None while nothing answers. host: where it listens."""
    site = urlsplit(site_url)
    connection = HTTPConnection(machine.reachable(host), port, timeout=ASK_LIMIT_S)
    try:
        connection.request("GET", path, headers={"Host": site.netloc, "X-Forwarded-Proto": site.scheme})
        return connection.getresponse().status
    except (OSError, HTTPException):
        return None
    finally:
        connection.close()


class StillAnswers:
    """Counts what the web server answers, asked from a thread of its own: an answer may be long in coming."""

    def __init__(self, host: str, port: int, site_url: str) -> None:
        self._host, self._port, self._site_url = host, port, site_url
        self._counted = 0
        self._thread = threading.Thread(target=self._ask, daemon=True)

    def count(self) -> int:
        """The thread begins with the first question."""
        if not self._thread.is_alive():
            self._thread.start()
        return self._counted

    def _ask(self) -> None:
        while True:
            status = status_of(STILL_THERE, host=self._host, port=self._port, site_url=self._site_url)
            self._counted += status is not None
            time.sleep(ASK_EVERY_S)
