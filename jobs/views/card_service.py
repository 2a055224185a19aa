"""The service reminder of a job: set and taken away on the card; the owner says yes or no by link."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from garage.changes.people.owners import want_no_service_reminders, want_service_reminders
from garage.models.actors import OWNER
from garage.models.visits import Visit
from garage.reads import links
from garage.reads.access import visit_for
from garage.reads.owners import wants_no_service
from garage.views.answers import carried_out, posted, pressed, sentence_of, status_of
from garage.views.by_link import by_link
from garage.views.doors import workshop
from garage.views.requests import OwnerRequest, WorkshopRequest
from jobs.changes.service import remind_later, remind_no_more
from jobs.reads.service import service_of
from jobs.views.card import card_values
from jobs.views.forms_service import ServiceForm, ServiceYesNoForm


@workshop
@require_POST
def card_service(request: WorkshopRequest, number: int) -> HttpResponse:
    visit, form = visit_for(request.user, number), ServiceForm(request.POST)
    if carried_out(form, lambda: remind_later(visit, by=request.user, now=request.now, **form.cleaned_data)):
        return redirect(_at_service(number))
    return render(request, "jobs/card.html", card_values(request, visit, failed=form), status=status_of(form))


@workshop
@require_POST
def card_service_off(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    then = redirect(_at_service(number))
    return pressed(request, lambda: remind_no_more(visit, by=request.user, now=request.now), then=then)


@by_link(links.REMINDERS)
@require_http_methods(["GET", "HEAD", "POST"])
def owner_reminders(request: OwnerRequest, visit: Visit) -> HttpResponse:
    form = ServiceYesNoForm(posted(request))
    if carried_out(form, lambda: _say(request, visit, form)):
        return redirect("owner-reminders", token=request.link_token)
    values = {
        "visit": visit,
        "token": request.link_token,
        "trouble": sentence_of(form),
        "service": service_of(visit),
        "wants_none": wants_no_service(visit.owner),
    }
    return render(request, "jobs/owner_reminders.html", values, status=status_of(form))


def _say(request: OwnerRequest, visit: Visit, form: ServiceYesNoForm) -> None:
    change = want_no_service_reminders if form.cleaned_data["wants"] == "none" else want_service_reminders
    change(visit.owner, by=OWNER, now=request.now)


def _at_service(number: int) -> str:
    return f"{reverse('card', args=[number])}#service"
