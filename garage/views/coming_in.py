"""How somebody comes in: with the password at once, or after it by a code for which this browser waits a while."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.conf import settings
from django.contrib.auth import login, logout
from django.http import HttpResponseRedirect
from django.shortcuts import resolve_url
from django.utils.crypto import constant_time_compare
from django.utils.http import url_has_allowed_host_and_scheme

from garage.changes.people import log_ins
from garage.models.people import Person
from garage.models.sessions import AWAITED, BEGAN, PROVED, SEEN, SEEN_WITH
from garage.reads.people import person_or_none
from garage.views.network_address import browser_of
from garage.views.requests import PageRequest

AWAITED_FOR = timedelta(minutes=10)  # after the right password; common practice, no source


def comes_in(request: PageRequest, person: Person) -> None:
    """Who has proved who they are is logged in with this browser."""
    login(request, person)
    browser = browser_of(request)
    request.session.update(dict.fromkeys((BEGAN, SEEN, PROVED), request.now.isoformat()) | {SEEN_WITH: browser})
    request.session.pop(AWAITED, None)
    log_ins.began(person, browser=browser, now=request.now)


def awaits_code(request: PageRequest, person: Person, then: str) -> None:
    """Nobody is logged in with this browser until the code has come. then: the page that asked for the log-in."""
    if request.user.is_authenticated:
        logout(request)
    request.session.cycle_key()
    proved = person.get_session_auth_hash()  # a new password ends the waiting, as it ends a log-in
    request.session[AWAITED] = {"who": person.pk, "proved": proved, "at": request.now.isoformat(), "then": then}


def who_awaits_code(request: PageRequest) -> Person | None:
    """Whose right password this browser gave some minutes ago."""
    awaited = request.session.get(AWAITED)
    if not awaited or request.now >= datetime.fromisoformat(awaited["at"]) + AWAITED_FOR:
        return None
    person = person_or_none(awaited["who"])
    own = person and constant_time_compare(awaited["proved"], person.get_session_auth_hash())
    return person if own else None


def where_to(request: PageRequest, wanted: str) -> HttpResponseRedirect:
    """Back to the page that asked for the log-in, never to another site. Before it is open: what it still lacks."""
    is_ours = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure())
    is_open = request.shop is not None and request.shop.is_open
    return HttpResponseRedirect(wanted if is_ours else resolve_url(settings.LOGIN_REDIRECT_URL if is_open else "front"))
