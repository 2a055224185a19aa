"""The front desk books for an owner on the telephone or at the counter."""

from __future__ import annotations

from dataclasses import replace
from uuid import uuid4

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from garage.changes.visit import bookings
from garage.core.selling.draft import Draft
from garage.core.text.typed_number import typed_number
from garage.models.owners import Machine
from garage.models.shop import VisitKind
from garage.reads import access
from garage.reads.free import FreeDay, asked_at_the_desk, free_days
from garage.reads.roller_facts import why_no_rollers
from garage.views.answers import carried_out, error_of, posted, status_of
from garage.views.booking.drafts import draft_from, draft_of_known
from garage.views.booking.forms import DeskBookingForm, KnownMachineForm
from garage.views.booking.times import chosen_day, nearest, since_of
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest

DAYS_SHOWN = 10
TELL_THEM = "Tell them now: it is not to be ridden or started. It comes on a trailer, and the bench looks first."
DeskForm = KnownMachineForm | DeskBookingForm


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def desk_booking(request: WorkshopRequest) -> HttpResponse:
    """GET with a kind shows what is free, and with a machine books for one that was here before. POST books, or shows
    the times of another day and keeps what was typed.
    """
    kind, known = _kind(request), _known_machine(request)
    if kind is None:
        return render(request, "garage/desk_booking.html", {"kind": None})
    days = _days(request, kind)
    chosen = chosen_day(_asked(request, "day") or _asked(request, "on"), days)
    form = _form(request, known, chosen)
    if booking := carried_out(
        form, lambda: bookings.book_at_the_desk(_draft(kind, form), by=request.user, now=request.now)
    ):
        messages.success(request, f"Booked: visit {booking.made.number}.")
        if booking.made.is_kept_off:
            messages.warning(request, TELL_THEM)
        return redirect("visit", number=booking.made.number)
    error = error_of(form)
    page = {
        "kinds": access.offered_kinds(),
        "kind": kind,
        "known": known,
        "form": form,
        "days": days,
        "chosen": chosen,
        "near": nearest(form, now=request.now),
        "since": request.GET.get("since", ""),
        "trouble": error.sentence if error else "",
        "why_none": why_no_rollers(known, kind) if known else "",
    }
    return render(request, "garage/desk_booking.html", page, status=status_of(form))


def _asked(request: HttpRequest, name: str) -> str:
    return request.POST.get(name) or request.GET.get(name) or ""


def _kind(request: HttpRequest) -> VisitKind | None:
    """The one that was asked for, else the first on offer."""
    slug = _asked(request, "kind")
    return access.kind_by_slug(slug) if slug else access.offered_kinds().first()


def _known_machine(request: HttpRequest) -> Machine | None:
    given = _asked(request, "machine")
    if not given:
        return None
    if (machine_id := typed_number(given)) is None:
        raise Http404
    return access.machine_or_404(machine_id)


def _form(request: WorkshopRequest, known: Machine | None, chosen: FreeDay | None) -> DeskForm:
    """With the times of the chosen day. When another day is asked for, what was typed is only shown again."""
    is_another_day = "day" in request.POST
    typed = {name: value for name, value in request.POST.items() if name != "starts_at"} if is_another_day else {}
    data, initial = None if is_another_day else posted(request), {"key": uuid4(), **typed}
    if known:
        return KnownMachineForm(data, machine=known, chosen=chosen, initial=initial)
    return DeskBookingForm(data, chosen=chosen, initial=initial)


def _draft(kind: VisitKind, form: DeskForm) -> Draft:
    time = form.time()
    if isinstance(form, KnownMachineForm):
        return draft_of_known(kind, form.machine, time)
    return replace(draft_from(kind, time.starts_at, time.key, form.who()), told=time.told)


def _days(request: WorkshopRequest, kind: VisitKind) -> list[FreeDay]:
    return free_days(asked_at_the_desk(kind, request.shop), since=since_of(request), count=DAYS_SHOWN, now=request.now)
