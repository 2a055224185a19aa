"""The front desk books for an owner on the telephone or at the counter."""

from __future__ import annotations

from uuid import uuid4

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from garage.changes import bookings
from garage.changes.selling import Taken
from garage.core.errors import Refused
from garage.core.selling.draft import Draft
from garage.models.owners import Machine
from garage.models.shop import VisitKind
from garage.reads import access, free, owners
from garage.views.doors import workshop
from garage.views.drafts import draft_from, draft_of_known
from garage.views.forms_booking import DeskBookingForm, DeskTimeForm, SinceForm

DAYS_SHOWN = 10
LONGEST_ID = 19  # digits; a longer number is no key of a row


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def desk_booking(request: HttpRequest) -> HttpResponse:
    """GET with a kind shows what is free, with a machine books for one that was here before; POST books."""
    slug, known = _asked(request, "kind"), _known_machine(request)
    kind = access.kind_by_slug(slug) if slug else access.offered_kinds().first()
    if request.method != "POST" or kind is None:
        return _page(request, kind, known, None)
    form = _form(known)(request.POST, days=_days(request, kind))
    if not form.is_valid():
        return _page(request, kind, known, form, status=422)
    try:
        visit = bookings.book_at_the_desk(_draft(kind, known, form.cleaned_data), by=request.user)
    except Refused as refused:
        near = free.nearest_free(refused.asked, refused.starts_at) if isinstance(refused, Taken) else []
        return _page(request, kind, known, form, status=409, trouble=refused.sentence, near=near)
    messages.success(request, f"Booked: visit {visit.number}.")
    return redirect("visit", number=visit.number)


def _asked(request: HttpRequest, name: str) -> str:
    return request.POST.get(name) or request.GET.get(name) or ""


def _known_machine(request: HttpRequest) -> Machine | None:
    given = _asked(request, "machine")
    if not given:
        return None
    if not (given.isascii() and given.isdigit() and len(given) < LONGEST_ID):
        raise Http404
    return owners.machine(int(given))


def _form(known: Machine | None) -> type[DeskTimeForm]:
    return DeskTimeForm if known else DeskBookingForm


def _draft(kind: VisitKind, known: Machine | None, typed: dict) -> Draft:
    if known:
        return draft_of_known(kind, known, typed)
    return draft_from(kind, typed["starts_at"], typed["key"], typed)


def _days(request: HttpRequest, kind: VisitKind) -> list[free.FreeDay]:
    since = SinceForm(request.GET)
    first = since.cleaned_data["since"] if since.is_valid() else None
    return free.free_days(free.asked_at_the_desk(kind, request.shop), since=first, count=DAYS_SHOWN)


def _page(
    request: HttpRequest,
    kind: VisitKind | None,
    known: Machine | None,
    form: DeskTimeForm | None,
    *,
    status: int = 200,
    **more: object,
) -> HttpResponse:
    if form is None and kind is not None:
        form = _form(known)(days=_days(request, kind), initial={"key": uuid4()})
    page = {"kinds": access.offered_kinds(), "kind": kind, "known": known, "form": form}
    return render(
        request, "garage/desk_booking.html", page | {"since": request.GET.get("since", "")} | more, status=status
    )
