"""A deposit that is kept, after a late calling-off or when nobody came."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from garage.reads.access import visit_for
from garage.views.answers import carried_out, posted, status_of
from garage.views.doors import money
from garage.views.requests import WorkshopRequest
from jobs.changes.kept_deposits import keep
from jobs.views.forms import KeepForm


@money
@require_http_methods(["GET", "HEAD", "POST"])
def deposit_keep(request: WorkshopRequest, number: int) -> HttpResponse:
    visit, form = visit_for(request.user, number), KeepForm(posted(request))
    if kept := carried_out(form, lambda: keep(visit, **form.cleaned_data, by=request.user, now=request.now)):
        messages.success(request, "Kept: it is income now. Its paper is made and mailed.")
        return redirect("invoice", number=kept.made.number)
    return render(request, "jobs/deposit_keep.html", {"visit": visit, "form": form}, status=status_of(form))
