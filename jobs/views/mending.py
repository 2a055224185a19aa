"""What needs mending: for the boss, who is the one to see to the computer."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from garage.views.doors import boss
from garage.views.requests import WorkshopRequest
from jobs.pages.mending import all_troubles


@boss
@require_safe
def needs_mending(request: WorkshopRequest) -> HttpResponse:
    return render(request, "jobs/needs_mending.html", {"troubles": all_troubles(now=request.now)})
