"""The cards of the machines in the building."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest
from jobs.pages.cards import cards_in_the_building


@workshop
@require_safe
def cards(request: WorkshopRequest) -> HttpResponse:
    return render(request, "jobs/cards.html", {"cards": cards_in_the_building(request.user)})
