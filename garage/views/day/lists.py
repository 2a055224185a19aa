"""Fix first and the ring list: what a person must put right, and whom to ring."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from garage.changes.day import ring
from garage.pages.lists import fix_first_page, ring_page
from garage.reads import access
from garage.views.answers import pressed
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest


@workshop
@require_safe
def fix_first(request: WorkshopRequest) -> HttpResponse:
    return render(request, "garage/fix_first.html", {"page": fix_first_page()})


@workshop
@require_safe
def ring_list(request: WorkshopRequest) -> HttpResponse:
    return render(request, "garage/ring_list.html", {"page": ring_page()})


@workshop
@require_POST
def ring_list_done(request: WorkshopRequest, number: int) -> HttpResponse:
    visit, said = access.visit_for(request.user, number), request.POST.get("what_was_said", "")
    return pressed(
        request,
        lambda: ring.rung(visit, by=request.user, now=request.now, what_was_said=said),
        then=redirect("ring-list"),
    )
