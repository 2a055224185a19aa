"""The gate on a phone: begun, filled, ended, or overridden by name."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from diagnostics.changes import gates
from diagnostics.pages.gate import gate_page, last_gate_of, open_gate_of
from diagnostics.views.forms_gate import GateForm
from diagnostics.views.forms_timing import DegreesForm, HeightsForm
from garage.core.errors import BadInput, Refused, Showable
from garage.models.visits import Visit
from garage.reads import access
from garage.views.doors import workshop

STATUS = {BadInput: 422, Refused: 409}
NOT_BEGUN = Refused("The gate of this visit is not begun, or it is over already: begin it first.")


@workshop
@require_safe
def gate(request: HttpRequest, number: int) -> HttpResponse:
    return _page(request, access.visit_for(request.user, number))


@workshop
@require_POST
def gate_begin(request: HttpRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    try:
        gates.begin(visit, by=request.user)
    except Refused as refused:
        return _page(request, visit, error=refused)
    return redirect("gate", number=number)


@workshop
@require_POST
def gate_end(request: HttpRequest, number: int) -> HttpResponse:
    visit, form = access.visit_for(request.user, number), GateForm(request.POST)
    begun = open_gate_of(visit)
    if begun is None:
        return _page(request, visit, form, NOT_BEGUN)
    if not form.is_valid():
        return _page(request, visit, form)
    try:
        gates.end(begun, by=request.user, sheet=form.sheet())
    except Showable as error:
        return _page(request, visit, form, error)
    return redirect("gate", number=number)


@workshop
@require_POST
def gate_override(request: HttpRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    last = last_gate_of(visit)
    if last is None:
        return _page(request, visit, error=NOT_BEGUN)
    try:
        gates.override(last, by=request.user, reason=request.POST.get("reason", ""))
    except Showable as error:
        return _page(request, visit, error=error)
    messages.success(request, f"Visit {number} may go on the rollers, by {request.user.name}'s word.")
    return redirect("gate", number=number)


def _page(
    request: HttpRequest, visit: Visit, form: GateForm | None = None, error: Showable | None = None
) -> HttpResponse:
    """The page, with the sentence and all that was filled in where something stood in the way."""
    shown = {
        "page": gate_page(visit),
        "form": form or GateForm(initial={"second_person": ""}),
        "trouble": error.sentence if error else "",
        "reason": request.POST.get("reason", ""),
        "heights_form": HeightsForm(),
    }
    shown["degrees_form"] = DegreesForm(engine=shown["page"].degrees.engine)
    has_errors = form is not None and bool(form.errors)
    status = STATUS[type(error)] if error else 422 if has_errors else 200
    return render(request, "diagnostics/gate.html", shown, status=status)
