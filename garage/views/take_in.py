"""Receiving a machine, one page on a phone."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from garage.changes import take_in as changes
from garage.core.errors import Refused
from garage.reads import access
from garage.views.doors import workshop
from garage.views.forms_day import TakeInForm


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def take_in(request: HttpRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    form = TakeInForm(request.POST or None)
    if request.method != "POST" or not form.is_valid():
        return render(
            request, "garage/take_in.html", {"visit": visit, "form": form}, status=422 if form.errors else 200
        )
    try:
        changes.take_in(visit, by=request.user, **form.cleaned_data)
    except Refused as refused:
        return render(
            request, "garage/take_in.html", {"visit": visit, "form": form, "trouble": refused.sentence}, status=409
        )
    messages.success(request, f"Visit {visit.number} is taken in.")
    return redirect("visit", number=visit.number)
