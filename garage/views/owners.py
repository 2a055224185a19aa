"""Owners: found, put right, and doubles joined."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from garage.changes import kinds
from garage.changes import owners as changes
from garage.core.errors import Refused
from garage.reads import owners as reads
from garage.views.answers import carried_out, status_of
from garage.views.doors import money, workshop
from garage.views.forms_owners import ContactForm, MachinesJoinForm, OwnersJoinForm
from garage.views.forms_shop import MachineForm


@workshop
@require_safe
def owners(request: HttpRequest) -> HttpResponse:
    words = request.GET.get("words", "").strip()[:100]
    return render(request, "garage/owners.html", {"owners": reads.found(words), "words": words, "most": reads.SHOWN})


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def owner(request: HttpRequest, owner_id: int) -> HttpResponse:
    row = reads.owner(owner_id)
    form = ContactForm(request.POST or None, initial=ContactForm.values_of(row))
    if carried_out(form, lambda: changes.change_contact(row, by=request.user, **form.cleaned_data)):
        messages.success(request, "Saved.")
        return redirect("owner", owner_id=owner_id)
    context = {"owner": row, "form": form, "machines": reads.machines_of(row), "visits": reads.visits_of(row)}
    context["trail"] = reads.trail_of(row)
    return render(request, "garage/owner.html", context, status=status_of(form))


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def machine_measures(request: HttpRequest, machine_id: int) -> HttpResponse:
    machine = reads.machine(machine_id)
    form = MachineForm(request.POST or None, instance=reads.machine(machine_id))
    if carried_out(form, lambda: kinds.measure_machine(machine, by=request.user, **form.cleaned_data)):
        messages.success(request, "Saved.")
        return redirect("owner", owner_id=machine.owner_id)
    return render(request, "garage/owner_machine.html", {"machine": machine, "form": form}, status=status_of(form))


@money
@require_safe
def owners_doubles(request: HttpRequest) -> HttpResponse:
    return _doubles(request)


@money
@require_POST
def owners_join(request: HttpRequest) -> HttpResponse:
    form = OwnersJoinForm(request.POST)
    if carried_out(form, lambda: changes.join_owners(by=request.user, **form.cleaned_data)):
        messages.success(request, f"Joined. {form.cleaned_data['kept']} now has the machines and visits of both.")
        return redirect("owners-doubles")
    return _doubles(request, form)


@money
@require_POST
def machines_join(request: HttpRequest) -> HttpResponse:
    form = MachinesJoinForm(request.POST)
    if carried_out(form, lambda: changes.join_machines(by=request.user, **form.cleaned_data)):
        messages.success(request, f"Joined. {form.cleaned_data['kept']} now has the visits of both.")
        return redirect("owners-doubles")
    return _doubles(request, form)


@money
@require_POST
def join_undo(request: HttpRequest, join_id: int) -> HttpResponse:
    try:
        changes.undo_join(reads.join(join_id), by=request.user)
    except Refused as refused:
        messages.error(request, refused.sentence)
    else:
        messages.success(request, "Parted again: what was moved is back where it was.")
    return redirect("owners-doubles")


def _doubles(request: HttpRequest, form: OwnersJoinForm | MachinesJoinForm | None = None) -> HttpResponse:
    context = {"form": form, "doubles": reads.doubles(), "joins": reads.joins()}
    context["machine_doubles"] = reads.machine_doubles()
    return render(request, "garage/owners_doubles.html", context, status=status_of(form) if form else 200)
