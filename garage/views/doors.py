"""Who may open a page: anybody of the workshop, those who handle money, the boss. When the password is asked again."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from functools import update_wrapper
from typing import Concatenate

from django.contrib.auth import logout
from django.contrib.auth.decorators import login_required
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpResponseBase
from django.shortcuts import redirect
from django.views.defaults import permission_denied

from garage.changes.people import log_ins
from garage.models.people import Person
from garage.models.sessions import BEGAN, PROVED, SECOND, SEEN
from garage.reads.second_factor import must_have_one
from garage.views.cannot_save import if_it_can_be_saved
from garage.views.password_again import asked_again
from garage.views.requests import Given, ShopRequest, WorkshopRequest

SEEN_EVERY = timedelta(minutes=10)  # close enough to know one's own log-ins by, and seldom enough to cost nothing
LIVES_FOR = timedelta(days=30)  # a log-in, however often it is used: NIST SP 800-63B, 2.1.3, has it at AAL1
FRESH_FOR = timedelta(minutes=15)  # from when the password was last given; common practice, no source

PublicView = Callable[Concatenate[ShopRequest, Given], HttpResponseBase]
View = Callable[Concatenate[WorkshopRequest, Given], HttpResponseBase]


def workshop(view: View[Given]) -> View[Given]:
    """Anybody who is logged in."""
    return _only(view, lambda person: person.is_active)


def boss(view: View[Given]) -> View[Given]:
    return _only(view, lambda person: person.is_boss)


def money(view: View[Given]) -> View[Given]:
    return _only(view, lambda person: person.handles_money)


def fresh(view: View[Given]) -> View[Given]:
    """Inside one of the others, at what changes who gets in, which secret address opens something, or the shop: only
    by somebody who has given their password lately. It is asked where they pressed, and what they typed is kept.
    Reading asks for nothing.
    """

    def guarded(request: WorkshopRequest, /, *args: Given.args, **kwargs: Given.kwargs) -> HttpResponseBase:
        asked = asked_again(request) if request.method == "POST" and not _is_fresh(request) else None
        return asked or view(request, *args, **kwargs)

    return update_wrapper(guarded, view)


def once_open(view: PublicView[Given]) -> PublicView[Given]:
    """Anybody, once the garage is open. Before that its front page says that it is not."""

    def guarded(request: ShopRequest, /, *args: Given.args, **kwargs: Given.kwargs) -> HttpResponseBase:
        if request.shop is None or not request.shop.is_open:
            return redirect("front")
        return view(request, *args, **kwargs)

    return update_wrapper(guarded, view)


def without_second_factor(view: View[Given]) -> View[Given]:
    """Anybody who is logged in, also while they have still to set up a second factor: for the page where they do."""
    return login_required(_guarded(view, lambda person: person.is_active))


def _only(view: View[Given], may_open: Callable[[Person], bool]) -> View[Given]:
    guarded = _guarded(view, may_open)

    def opened(request: WorkshopRequest, /, *args: Given.args, **kwargs: Given.kwargs) -> HttpResponseBase:
        if _is_too_old(request):
            logout(request)
            return redirect_to_login(request.get_full_path())
        if must_have_one(request.user) and not request.session.get(SECOND):
            return redirect("second-factor")
        return guarded(request, *args, **kwargs)

    return login_required(update_wrapper(opened, view))


def _guarded(view: View[Given], may_open: Callable[[Person], bool]) -> View[Given]:
    def guarded(request: WorkshopRequest, /, *args: Given.args, **kwargs: Given.kwargs) -> HttpResponseBase:
        _note_seen(request)
        if not may_open(request.user):
            with if_it_can_be_saved():
                log_ins.refused(request.user, request.path, now=request.now)
            return permission_denied(request, PermissionDenied())  # raised, it would leave a traceback in the log
        return view(request, *args, **kwargs)

    return update_wrapper(guarded, view)


def _is_too_old(request: WorkshopRequest) -> bool:
    began = request.session.get(BEGAN)
    return began is not None and request.now >= datetime.fromisoformat(began) + LIVES_FOR


def _is_fresh(request: WorkshopRequest) -> bool:
    given = request.session.get(PROVED)
    return given is not None and request.now < datetime.fromisoformat(given) + FRESH_FOR


def _note_seen(request: WorkshopRequest) -> None:
    """In the session, which was read already; it is written at most every ten minutes."""
    last = request.session.get(SEEN)
    if last and request.now - datetime.fromisoformat(last) >= SEEN_EVERY:
        request.session[SEEN] = request.now.isoformat()
