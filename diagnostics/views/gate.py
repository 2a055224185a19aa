"""The gate on a phone: begun, filled, ended, or overridden by name."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from diagnostics.changes import gates
from diagnostics.models.gates import Gate
from diagnostics.pages.gate import gate_page
from diagnostics.reads.gates import last_gate_of, open_gate_of
from diagnostics.views.forms_gate import GateForm, OverrideForm
from diagnostics.views.forms_timing import DegreesForm, HeightsForm
from garage.core.errors import Refused
from garage.models.visits import Visit
from garage.reads.access import visit_for
from garage.views.answers import carried_out, pressed, sentence_of, status_of
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest


@workshop
@require_safe
def gate(request: WorkshopRequest, number: int) -> HttpResponse:
    return _page(request, visit_for(request.user, number))


@workshop
@require_POST
def gate_begin(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    return pressed(
        request, lambda: gates.begin(visit, by=request.user, now=request.now), then=redirect("gate", number=number)
    )


@workshop
@require_POST
def gate_end(request: WorkshopRequest, number: int) -> HttpResponse:
    visit, form = visit_for(request.user, number), GateForm(request.POST, by=request.user)
    begun = open_gate_of(visit)
    if carried_out(form, lambda: gates.end(_there(begun), by=request.user, now=request.now, sheet=form.sheet())):
        return redirect("gate", number=number)
    return _page(request, visit, form)


@workshop
@require_POST
def gate_override(request: WorkshopRequest, number: int) -> HttpResponse:
    visit, form = visit_for(request.user, number), OverrideForm(request.POST)
    last = last_gate_of(visit)
    if carried_out(form, lambda: gates.override(_there(last), by=request.user, now=request.now, **form.cleaned_data)):
        messages.success(request, f"Visit {number} may go on the rollers, by {request.user.name}'s word.")
        return redirect("gate", number=number)
    return _page(request, visit, override=form)


def _there(found: Gate | None) -> Gate:
    if found is None:
        raise Refused("The gate of this visit has not been begun, or is already over: begin it first.")
    return found


def _page(
    request: WorkshopRequest, visit: Visit, form: GateForm | None = None, *, override: OverrideForm | None = None
) -> HttpResponse:
    """With everything that was filled in; an error about a gate that is not open is shown at the top."""
    page, sent = gate_page(visit, seen_by=request.user), override or form
    is_on_the_form = form is not None and page.open_gate is not None
    shown = {
        "page": page,
        "form": form or (GateForm(by=request.user) if page.open_gate else None),
        "trouble": "" if is_on_the_form else sentence_of(sent),
        "override_form": override or OverrideForm(),
        "heights_form": HeightsForm(),
        "degrees_form": DegreesForm(engine=page.degrees.engine),
    }
    return render(request, "diagnostics/gate.html", shown, status=status_of(sent))
