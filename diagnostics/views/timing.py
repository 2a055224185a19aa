"""Timing of a machine: the strobe's picture, degrees in millimetres, packers worked out and taken."""

from __future__ import annotations

from dataclasses import replace

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe
from django.views.decorators.vary import vary_on_headers

from diagnostics.changes import packers as changes
from diagnostics.pages.packers import packers_shown
from diagnostics.pages.pictures.strobe import strobe_chart
from diagnostics.pages.timing import degrees_shown, drawn, gates_with_readings
from diagnostics.views.forms_timing import DegreesForm, HeightsForm, thicknesses
from garage.core.errors import Refused, Showable
from garage.models.owners import Machine
from garage.output.pictures import CONTENT_TYPE
from garage.reads import access
from garage.views.answers import status_of
from garage.views.doors import workshop


@workshop
@require_safe
def strobe_picture(request: HttpRequest, gate_id: int) -> HttpResponse:
    return HttpResponse(strobe_chart(*drawn(gate_id)), content_type=CONTENT_TYPE)


@workshop
@require_safe
@vary_on_headers("HX-Request")
def machine_degrees(request: HttpRequest, machine_id: int) -> HttpResponse:
    shown = degrees_shown(access.machine_or_404(machine_id))
    form = DegreesForm(request.GET or None, engine=shown.engine)
    template = "parts/_degrees.html" if request.htmx else "diagnostics/machine_degrees.html"
    return render(request, template, {"degrees": shown, "degrees_form": form}, status=status_of(form))


@workshop
@require_safe
@vary_on_headers("HX-Request")
def machine_packers(request: HttpRequest, machine_id: int) -> HttpResponse:
    return _packers(request, access.machine_or_404(machine_id), HeightsForm(request.GET or None))


@workshop
@require_POST
@vary_on_headers("HX-Request")
def gate_packers(request: HttpRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    try:
        changes.take(visit, packers_mm=thicknesses(request.POST.getlist("packer_mm")), by=request.user)
    except Showable as error:
        return _packers(request, visit.machine, HeightsForm(), error)
    return _packers_done(request, visit, "Taken from stock, and written on the card.")


@workshop
@require_POST
@vary_on_headers("HX-Request")
def gate_packers_back(request: HttpRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    try:
        changes.put_back(visit, by=request.user)
    except Showable as error:
        return _packers(request, visit.machine, HeightsForm(), error)
    return _packers_done(request, visit, "Back in stock, and struck out on the card.")


def _packers_done(request: HttpRequest, visit: object, said: str) -> HttpResponse:
    if request.htmx:
        return _packers(request, visit.machine, HeightsForm())
    messages.success(request, said)
    return redirect("gate", number=visit.number)


def _packers(request: HttpRequest, machine: Machine, form: HeightsForm, error: Showable | None = None) -> HttpResponse:
    status = status_of(form) if error is None else 409 if isinstance(error, Refused) else 422
    shown = replace(packers_shown(machine, gates_with_readings(machine)), stack=form.stack if form.is_bound else None)
    context = {"packers": shown, "heights_form": form, "trouble": error.sentence if error else ""}
    template = "parts/_packers.html" if request.htmx else "diagnostics/machine_packers.html"
    return render(request, template, context, status=status)
