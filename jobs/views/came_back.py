"""The button for a machine that came back with the same trouble, and the one that takes it back."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST
from django.views.decorators.vary import vary_on_headers

from diagnostics.changes import learning
from garage.core.errors import Refused
from garage.models.visits import Visit
from garage.reads.access import visit_for
from garage.views.doors import workshop
from jobs.pages.came_back import of_card, of_last_time


@workshop
@require_POST
@vary_on_headers("HX-Request")
def card_came_back(request: HttpRequest, number: int) -> HttpResponse:
    return _marked(request, number, learning.came_back)


@workshop
@require_POST
@vary_on_headers("HX-Request")
def card_did_not_come_back(request: HttpRequest, number: int) -> HttpResponse:
    return _marked(request, number, learning.did_not_come_back)


def _marked(request: HttpRequest, number: int, change: Callable[..., None]) -> HttpResponse:
    visit, trouble = visit_for(request.user, number), ""
    try:
        change(visit, by=request.user)
    except Refused as refused:
        trouble = refused.sentence
    returning = _returning(request)
    if request.htmx:
        came = of_last_time(returning) if returning else of_card(visit)
        status = 409 if trouble else 200
        return render(request, "parts/_came_back.html", {"came": came, "trouble": trouble}, status=status)
    if trouble:
        messages.error(request, trouble)
    return redirect("visit", returning.number) if returning else redirect("card", number)


def _returning(request: HttpRequest) -> Visit | None:
    """The visit on whose page the button stood."""
    given = request.POST.get("returning", "")
    return visit_for(request.user, int(given)) if given.isdecimal() else None
