"""Receiving a machine, one page on a phone."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from garage.changes.visit import receiving
from garage.reads import access
from garage.views.answers import carried_out, posted, status_of
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest
from garage.views.visits.forms import TakeInForm

RIDDEN = (
    "It was ridden here although it must not be run. Do not start it again: push it to the bench, which looks first. "
    "Tell the owner not to ride it home."
)


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def take_in(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    form = TakeInForm(posted(request), initial={"stays_overnight": visit.is_left_with_us})
    taken = carried_out(form, lambda: receiving.take_in(visit, by=request.user, now=request.now, **form.cleaned_data))
    if taken:
        messages.success(request, f"Visit {visit.number} is taken in.")
        if receiving.was_ridden_all_the_same(taken.made):
            messages.warning(request, RIDDEN)
        return redirect("visit", number=visit.number)
    shown = {"visit": visit, "form": form, "photos": visit.photos.all()}
    return render(request, "garage/take_in.html", shown, status=status_of(form))
