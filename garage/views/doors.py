"""Who may open a page: anybody of the workshop, those who handle money, the boss."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from functools import update_wrapper
from typing import Concatenate

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import HttpResponseBase

from garage.changes.people import log_ins
from garage.models.people import Person
from garage.models.sessions import SEEN
from garage.views.requests import Given, WorkshopRequest

SEEN_EVERY = timedelta(minutes=10)  # close enough to know one's own log-ins by, and seldom enough to cost nothing

View = Callable[Concatenate[WorkshopRequest, Given], HttpResponseBase]


def workshop(view: View[Given]) -> View[Given]:
    """Anybody who is logged in."""
    return _only(view, lambda person: person.is_active)


def boss(view: View[Given]) -> View[Given]:
    return _only(view, lambda person: person.is_boss)


def money(view: View[Given]) -> View[Given]:
    return _only(view, lambda person: person.handles_money)


def _only(view: View[Given], may_open: Callable[[Person], bool]) -> View[Given]:
    def guarded(request: WorkshopRequest, /, *args: Given.args, **kwargs: Given.kwargs) -> HttpResponseBase:
        _note_seen(request)
        if not may_open(request.user):
            log_ins.refused(request.user, request.path, now=request.now)
            raise PermissionDenied
        return view(request, *args, **kwargs)

    update_wrapper(guarded, view)
    return login_required(guarded)


def _note_seen(request: WorkshopRequest) -> None:
    """In the session, which was read already; it is written at most every ten minutes."""
    last = request.session.get(SEEN)
    if last and request.now - datetime.fromisoformat(last) >= SEEN_EVERY:
        request.session[SEEN] = request.now.isoformat()
