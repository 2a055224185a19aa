"""A machine and everything done to it."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from diagnostics.views.forms_timing import DegreesForm, HeightsForm
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest
from jobs.pages.history import machine_page
from jobs.reads.access import machine_numbered


@workshop
@require_safe
def machine(request: WorkshopRequest, machine_id: int) -> HttpResponse:
    page = machine_page(machine_numbered(machine_id))
    forms = {"degrees_form": DegreesForm(engine=page.timing.degrees.engine), "heights_form": HeightsForm()}
    return render(request, "jobs/machine.html", {"page": page} | forms)
