"""A machine and everything done to it."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from diagnostics.views.forms_timing import DegreesForm, HeightsForm
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest
from jobs.pages.estimate import estimates_shown
from jobs.pages.history import machine_page
from jobs.reads.access import machine_numbered
from jobs.reads.estimates import estimates_for_machine


@workshop
@require_safe
def machine(request: WorkshopRequest, machine_id: int) -> HttpResponse:
    page = machine_page(found := machine_numbered(machine_id))
    shown = estimates_shown(estimates_for_machine(found), request.shop, now=request.now)
    forms = {"degrees_form": DegreesForm(engine=page.timing.degrees.engine), "heights_form": HeightsForm()}
    values = {"page": page, "estimates": shown, "may_take": request.user.handles_money}
    return render(request, "jobs/machine.html", values | forms)
