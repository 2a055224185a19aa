"""The walk that shows somebody new round their pages: put away, and begun again."""

from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from garage.changes.people import people
from garage.core.shown_round import stands_at
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest


@workshop
@require_POST
def round_away(request: WorkshopRequest) -> HttpResponse:
    """Back to the stop that they stood at."""
    people.put_the_round_away(request.user)
    here = stands_at(request.user.round, request.POST.get("stop", ""))
    return redirect(here.stop.address if here else request.user.round[0].address)


@workshop
@require_POST
def round_again(request: WorkshopRequest) -> HttpResponse:
    people.show_round(request.user)
    return redirect(request.user.round[0].address)
