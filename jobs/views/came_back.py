"""The buttons that mark a come-back and withdraw the mark."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST
from django.views.decorators.vary import vary_on_headers

from diagnostics.changes import learning
from diagnostics.pages.causes import cause_lines
from garage.core.text.typed_number import typed_number
from garage.models.visits import Visit
from garage.reads.access import visit_for
from garage.views.answers import pressed
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest
from jobs.pages.came_back import of_card, of_last_time


@workshop
@require_POST
@vary_on_headers("HX-Request")
def card_came_back(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    return _marked(request, visit, lambda: learning.came_back(visit, by=request.user, now=request.now))


@workshop
@require_POST
@vary_on_headers("HX-Request")
def card_did_not_come_back(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    return _marked(request, visit, lambda: learning.did_not_come_back(visit, by=request.user, now=request.now))


def _marked(request: WorkshopRequest, visit: Visit, change: Callable[[], object]) -> HttpResponse:
    """The button is on the card and on the page of the returning visit."""
    returning = _returning(request)

    def part(trouble: str) -> HttpResponse:
        came = of_last_time(returning) if returning else of_card(visit, cause_lines(visit))
        return render(request, "parts/_came_back.html", {"came": came, "trouble": trouble})

    then = redirect("visit", returning.number) if returning else redirect("card", visit.number)
    return pressed(request, change, then=then, fragment=part)


def _returning(request: WorkshopRequest) -> Visit | None:
    given = typed_number(request.POST.get("returning", ""))
    return None if given is None else visit_for(request.user, given)
