"""Timing of a machine: the strobe's picture, degrees in millimetres, packers worked out and taken."""

from __future__ import annotations

from dataclasses import replace

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe
from django.views.decorators.vary import vary_on_headers

from diagnostics.changes import packers
from diagnostics.pages.packers import packers_shown
from diagnostics.pages.pictures.strobe import strobe_chart
from diagnostics.pages.timing import degrees_shown, drawn
from diagnostics.reads.gates import gates_with_readings
from diagnostics.views.forms_timing import DegreesForm, HeightsForm, thicknesses
from garage.models.owners import Machine
from garage.output.pictures import CONTENT_TYPE
from garage.reads.access import machine_or_404, visit_for
from garage.views.answers import pressed, status_of
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest

PART = "parts/_packers.html"


@workshop
@require_safe
def strobe_picture(request: WorkshopRequest, gate_id: int) -> HttpResponse:
    return HttpResponse(strobe_chart(*drawn(gate_id)), content_type=CONTENT_TYPE)


@workshop
@require_safe
@vary_on_headers("HX-Request")
def machine_degrees(request: WorkshopRequest, machine_id: int) -> HttpResponse:
    shown = degrees_shown(machine_or_404(machine_id))
    form = DegreesForm(request.GET or None, engine=shown.engine)
    template = "parts/_degrees.html" if request.htmx else "diagnostics/machine_degrees.html"
    return render(request, template, {"degrees": shown, "degrees_form": form}, status=status_of(form))


@workshop
@require_safe
@vary_on_headers("HX-Request")
def machine_packers(request: WorkshopRequest, machine_id: int) -> HttpResponse:
    form, template = HeightsForm(request.GET or None), "diagnostics/machine_packers.html"
    values = _packers(machine_or_404(machine_id), form)
    return render(request, PART if request.htmx else template, values, status=status_of(form))


@workshop
@require_POST
@vary_on_headers("HX-Request")
def gate_packers(request: WorkshopRequest, number: int) -> HttpResponse:
    visit, sent = visit_for(request.user, number), request.POST.getlist("packer_mm")
    return pressed(
        request,
        lambda: packers.take(visit, packers_mm=thicknesses(sent), by=request.user, now=request.now),
        then=redirect("gate", number=number),
        said="Taken from stock, and written on the card.",
        fragment=lambda trouble: render(request, PART, _packers(visit.machine, HeightsForm(), trouble)),
    )


@workshop
@require_POST
@vary_on_headers("HX-Request")
def gate_packers_back(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    return pressed(
        request,
        lambda: packers.put_back(visit, by=request.user, now=request.now),
        then=redirect("gate", number=number),
        said="Back in stock, and struck out on the card.",
        fragment=lambda trouble: render(request, PART, _packers(visit.machine, HeightsForm(), trouble)),
    )


def _packers(machine: Machine, form: HeightsForm, trouble: str = "") -> dict[str, object]:
    shown = replace(packers_shown(machine, gates_with_readings(machine)), stack=form.stack if form.is_valid() else None)
    return {"packers": shown, "heights_form": form, "trouble": trouble}
