"""What an owner is told about the machine's safety: written down, or written to them."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from garage.changes.visit import safety
from garage.models.safety import MAIL
from garage.models.visits import Visit
from garage.reads import access
from garage.reads.safety import safety_remarks_of
from garage.views.answers import carried_out, posted, status_of
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest
from garage.views.visits.forms_safety import SafetyForm


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def visit_safety(request: WorkshopRequest, number: int) -> HttpResponse:
    visit, form = access.visit_for(request.user, number), SafetyForm(posted(request))
    if carried_out(form, lambda: _told(request, visit, form)):
        messages.success(request, "Kept with the visit, and said on the card and the invoice.")
        return redirect(f"{reverse('visit', args=[number])}#safety")
    values = {"visit": visit, "form": form, "remarks": safety_remarks_of(visit)}
    return render(request, "garage/visit_safety.html", values, status=status_of(form))


def _told(request: WorkshopRequest, visit: Visit, form: SafetyForm) -> None:
    words, how = form.cleaned_data["words"], form.cleaned_data["how"]
    if how == MAIL:
        safety.told_by_mail(visit, words=words, by=request.user, now=request.now)
    else:
        safety.told(visit, words=words, how=how, by=request.user, now=request.now)
