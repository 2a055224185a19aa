"""What is answered while nothing can be saved: pages that only read go on, everything else says so on one page.

No page of ours is at fault then, so there is no traceback: one line in the log, and a trouble for the boss to read.
"""

from __future__ import annotations

import logging
import sys
from collections.abc import Iterator
from contextlib import contextmanager

from django.conf import settings
from django.contrib.sessions.exceptions import SessionInterrupted
from django.contrib.sessions.middleware import SessionMiddleware
from django.db import DatabaseError, InterfaceError, connection
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.template.loader import render_to_string
from django.views.defaults import server_error

from garage.core.computer.cannot_save import CannotSave, why_of_database, why_of_system
from garage.core.computer.mending import DATABASE_AWAY, LOCKED
from garage.running.parts import signs
from garage.views.typed_again import typed_fields

HEADERS = {"Retry-After": "30", "Cache-Control": "private, no-store"}  # s, for whoever asks by program
READS = ("GET", "HEAD", "OPTIONS")
HARDLY_MS = 500  # ms that a page which only reads waits for a lock, to note what is of use but not needed
TOLD_EVERY_S = 600.0  # s, in the log
TROUBLES = {CannotSave.LOCKED: LOCKED}  # all others are a database that could not be used

log = logging.getLogger(__name__)


def why(error: BaseException | None) -> CannotSave | None:
    """None for anything else: that is a fault."""
    if isinstance(error, DatabaseError | InterfaceError):
        return why_of_database(str(error), getattr(error.__cause__, "sqlstate", None) or "")
    return why_of_system(error.errno) if isinstance(error, OSError) else None


def failed(request: HttpRequest) -> HttpResponseBase:
    """Django's handler for whatever was not expected: a page of its own where nothing can be saved just now."""
    reason = why(sys.exc_info()[1])
    if reason is None:
        return server_error(request)
    _tell(reason)
    values = {
        "why": reason.value,
        "reads": request.method in READS,
        "fields": typed_fields(request),
        "path": request.path,
    }
    answer = HttpResponse(render_to_string("503.html", values), status=503, headers=HEADERS)
    answer._has_been_logged = True  # type: ignore[attr-defined]  # or Django writes a traceback
    return answer


@contextmanager
def if_it_can_be_saved() -> Iterator[None]:
    """For what is noted beside a page that only reads: when somebody was last seen, that a page was refused."""
    try:
        with _hardly_waiting():
            yield
    except (DatabaseError, OSError) as error:
        reason = why(error)
        if reason is None:
            raise
        _tell(reason)


class SteadySessionMiddleware(SessionMiddleware):
    """A page that only reads is shown also where its session cannot be written."""

    def process_response(self, request: HttpRequest, response: HttpResponse) -> HttpResponse:
        if request.method not in READS or not request.session.modified:
            return self._kept(request, response)
        with if_it_can_be_saved():
            return self._kept(request, response)
        return response

    def _kept(self, request: HttpRequest, response: HttpResponse) -> HttpResponse:
        """Django takes any error of the database for a session that was ended meanwhile. One that it cannot write just
        now is none.
        """
        try:
            return super().process_response(request, response)
        except SessionInterrupted as error:
            cause = error.__context__ and error.__context__.__context__
            if cause is not None and why(cause):
                raise cause from None
            raise


@contextmanager
def _hardly_waiting() -> Iterator[None]:
    """On PostgreSQL rows alone are locked, not the database."""
    waits = connection.vendor == "sqlite" and not connection.in_atomic_block
    if not waits:
        yield
        return
    connection.ensure_connection()
    usual_ms = round(1000 * float(connection.settings_dict["OPTIONS"].get("timeout", 5)))
    connection.connection.execute(f"PRAGMA busy_timeout = {HARDLY_MS}")
    try:
        yield
    finally:
        connection.connection.execute(f"PRAGMA busy_timeout = {usual_ms}")


def _tell(reason: CannotSave) -> None:
    """Once in a while: many may be waiting."""
    kind = TROUBLES.get(reason, DATABASE_AWAY)
    is_told = signs.given_within(settings.DATA, kind, TOLD_EVERY_S)
    signs.give(settings.DATA, kind)
    if not is_told:
        log.warning("Nothing can be saved just now: %s.", reason.value)
