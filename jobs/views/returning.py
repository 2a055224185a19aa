"""A visit is said to be a come-back of an earlier one, or not; whether it is charged after all."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from diagnostics.changes import returning
from garage.core.text.typed_number import typed_number
from garage.reads.access import visit_for
from garage.views.answers import pressed
from garage.views.doors import money, workshop
from garage.views.requests import WorkshopRequest
from jobs.changes import come_back_charges


@workshop
@require_POST
def visit_come_back(request: WorkshopRequest, number: int) -> HttpResponse:
    """The button "not" takes it back."""
    visit, then = visit_for(request.user, number), redirect("visit", number=number)
    if request.POST.get("do") == "not":
        return pressed(
            request, lambda: returning.does_not_come_back(visit, by=request.user, now=request.now), then=then
        )
    if (given := typed_number(request.POST.get("earlier", ""))) is None:
        raise Http404
    earlier = visit_for(request.user, given)
    return pressed(
        request, lambda: returning.comes_back(visit, earlier=earlier, by=request.user, now=request.now), then=then
    )


@money
@require_POST
def visit_come_back_charge(request: WorkshopRequest, number: int) -> HttpResponse:
    """With a reason, or with the button "nothing" not charged again."""
    visit, then, by, now = visit_for(request.user, number), redirect("visit", number=number), request.user, request.now
    if request.POST.get("do") == "nothing":
        return pressed(request, lambda: come_back_charges.charge_nothing(visit, by=by, now=now), then=then)
    why = request.POST.get("why", "")
    return pressed(request, lambda: come_back_charges.charge_after_all(visit, why=why, by=by, now=now), then=then)
