"""Owners: found, put right, and duplicates joined."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from garage.changes.people.owners import change_contact, join_machines, join_owners, undo_join
from garage.changes.shop.kinds import measure_machine
from garage.pages.duplicates import duplicates_page
from garage.pages.owner import owner_page
from garage.reads import access
from garage.reads.owners import SHOWN, found
from garage.views.answers import carried_out, posted, pressed, status_of
from garage.views.doors import money, workshop
from garage.views.owners.forms import ContactForm, MachineForm, MachinesJoinForm, OwnersJoinForm
from garage.views.requests import WorkshopRequest


@workshop
@require_safe
def owners(request: WorkshopRequest) -> HttpResponse:
    words = request.GET.get("words", "").strip()[:100]
    return render(request, "garage/owners.html", {"owners": found(words), "words": words, "most": SHOWN})


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def owner(request: WorkshopRequest, owner_id: int) -> HttpResponse:
    row = access.owner_or_404(owner_id)
    form = ContactForm(posted(request), initial=ContactForm.values_of(row))
    if carried_out(form, lambda: change_contact(row, by=request.user, now=request.now, **form.cleaned_data)):
        messages.success(request, "Saved.")
        return redirect("owner", owner_id=owner_id)
    return render(request, "garage/owner.html", {"page": owner_page(row), "form": form}, status=status_of(form))


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def machine_measures(request: WorkshopRequest, machine_id: int) -> HttpResponse:
    machine = access.machine_or_404(machine_id)
    form = MachineForm(posted(request), instance=access.machine_or_404(machine_id))
    if carried_out(form, lambda: measure_machine(machine, by=request.user, now=request.now, **form.cleaned_data)):
        messages.success(request, "Saved.")
        return redirect("owner", owner_id=machine.owner_id)
    return render(request, "garage/owner_machine.html", {"machine": machine, "form": form}, status=status_of(form))


@money
@require_safe
def owners_doubles(request: WorkshopRequest) -> HttpResponse:
    return _duplicates(request)


@money
@require_POST
def owners_join(request: WorkshopRequest) -> HttpResponse:
    form = OwnersJoinForm(request.POST)
    if carried_out(form, lambda: join_owners(by=request.user, now=request.now, **form.cleaned_data)):
        messages.success(request, f"Joined. {form.cleaned_data['kept']} now has the machines and visits of both.")
        return redirect("owners-doubles")
    return _duplicates(request, form)


@money
@require_POST
def machines_join(request: WorkshopRequest) -> HttpResponse:
    form = MachinesJoinForm(request.POST)
    if carried_out(form, lambda: join_machines(by=request.user, now=request.now, **form.cleaned_data)):
        messages.success(request, f"Joined. {form.cleaned_data['kept']} now has the visits of both.")
        return redirect("owners-doubles")
    return _duplicates(request, form)


@money
@require_POST
def join_undo(request: WorkshopRequest, join_id: int) -> HttpResponse:
    join = access.join_or_404(join_id)
    return pressed(
        request,
        lambda: undo_join(join, by=request.user, now=request.now),
        then=redirect("owners-doubles"),
        said="Undone: everything that moved is back where it was.",
    )


def _duplicates(request: WorkshopRequest, form: OwnersJoinForm | MachinesJoinForm | None = None) -> HttpResponse:
    values = {"page": duplicates_page(), "form": form}
    return render(request, "garage/owners_doubles.html", values, status=status_of(form))
