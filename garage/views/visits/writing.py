"""A message to an owner in a person's own words, from the visit."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from garage.changes.mail.worded import write_freely
from garage.reads import access
from garage.views.answers import carried_out, posted, status_of
from garage.views.doors import workshop
from garage.views.forms_mail import FreeTextForm
from garage.views.requests import WorkshopRequest


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def visit_write(request: WorkshopRequest, number: int) -> HttpResponse:
    """Without an email address the words are on the ring list, ready to be texted."""
    visit = access.visit_for(request.user, number)
    form = FreeTextForm(posted(request), initial={"subject": f"Your {visit.machine.words}, visit {visit.number}"})
    if carried_out(form, lambda: write_freely(visit, **form.cleaned_data, by=request.user, now=request.now)):
        if not visit.owner.email:
            messages.success(request, "There is no email address on file: the words are ready here, to text or ring.")
            return redirect(f"{reverse('ring-list')}#to-tell")
        messages.success(request, f"Written to {visit.owner.name}. It is kept with the visit.")
        return redirect(f"{reverse('visit', args=[number])}#messages-sent")
    return render(request, "garage/visit_write.html", {"visit": visit, "form": form}, status=status_of(form))
