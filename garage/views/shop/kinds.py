"""Visit kinds and machine kinds, for the boss."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from garage.changes.shop import kinds
from garage.reads.access import machine_kind_or_404, visit_kind_or_404
from garage.reads.shop import machine_kinds, visit_kinds
from garage.views.answers import carried_out, posted, status_of
from garage.views.doors import boss, fresh
from garage.views.requests import WorkshopRequest
from garage.views.shop.forms_kinds import MachineKindForm, VisitKindForm


@boss
@fresh
@require_http_methods(["GET", "HEAD", "POST"])
def shop_kinds(request: WorkshopRequest) -> HttpResponse:
    form = VisitKindForm(posted(request))
    if carried_out(form, lambda: kinds.add_visit_kind(by=request.user, now=request.now, **form.cleaned_data)):
        return redirect("shop-kinds")
    return render(request, "garage/shop_kinds.html", {"form": form, "kinds": visit_kinds()}, status=status_of(form))


@boss
@fresh
@require_http_methods(["GET", "HEAD", "POST"])
def shop_kind(request: WorkshopRequest, kind_id: int) -> HttpResponse:
    kind = visit_kind_or_404(kind_id)
    form = VisitKindForm(posted(request), instance=kind)
    if carried_out(form, lambda: kinds.change_visit_kind(kind, by=request.user, now=request.now, **form.cleaned_data)):
        messages.success(request, "Saved. Visits booked already keep what was agreed.")
        return redirect("shop-kinds")
    values = {"form": form, "title": "Visit kind", "back": "shop-kinds"}
    return render(request, "garage/shop_one.html", values, status=status_of(form))


@boss
@require_http_methods(["GET", "HEAD", "POST"])
def shop_machine_kinds(request: WorkshopRequest) -> HttpResponse:
    form = MachineKindForm(posted(request))
    if carried_out(form, lambda: kinds.add_machine_kind(by=request.user, now=request.now, **form.cleaned_data)):
        return redirect("shop-machine-kinds")
    values = {"form": form, "kinds": machine_kinds()}
    return render(request, "garage/shop_machine_kinds.html", values, status=status_of(form))


@boss
@require_http_methods(["GET", "HEAD", "POST"])
def shop_machine_kind(request: WorkshopRequest, kind_id: int) -> HttpResponse:
    kind = machine_kind_or_404(kind_id)
    form = MachineKindForm(posted(request), instance=kind)
    if carried_out(
        form, lambda: kinds.change_machine_kind(kind, by=request.user, now=request.now, **form.cleaned_data)
    ):
        messages.success(request, "Saved.")
        return redirect("shop-machine-kinds")
    values = {"form": form, "title": "Machine kind", "back": "shop-machine-kinds"}
    return render(request, "garage/shop_one.html", values, status=status_of(form))
