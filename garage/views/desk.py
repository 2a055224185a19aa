"""The front desk books for an owner on the telephone or at the counter."""

from __future__ import annotations

from uuid import uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from garage.changes import visits
from garage.changes.selling import Taken
from garage.core.errors import Refused
from garage.models.shop import VisitKind
from garage.reads import access, free
from garage.views.doors import workshop
from garage.views.drafts import draft_from
from garage.views.forms_booking import DeskBookingForm, SinceForm

DAYS_SHOWN = 10


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def desk_booking(request: HttpRequest) -> HttpResponse:
    """GET with a kind shows what is free; POST books it."""
    slug = request.POST.get("kind") or request.GET.get("kind")
    kind = access.kind_by_slug(slug) if slug else access.offered_kinds().first()
    if request.method != "POST" or kind is None:
        return _page(request, kind, None)
    form = DeskBookingForm(request.POST, days=_days(request, kind))
    if not form.is_valid():
        return _page(request, kind, form, status=422)
    typed = form.cleaned_data
    try:
        visit = visits.book_at_the_desk(draft_from(kind, typed["starts_at"], typed["key"], typed), by=request.user)
    except Refused as refused:
        near = free.nearest_free(refused.asked, refused.starts_at) if isinstance(refused, Taken) else []
        return _page(request, kind, form, status=409, trouble=refused.sentence, near=near)
    messages.success(request, f"Booked: visit {visit.number}.")
    return redirect("visit", number=visit.number)


def _days(request: HttpRequest, kind: VisitKind) -> list[free.FreeDay]:
    since = SinceForm(request.GET)
    first = since.cleaned_data["since"] if since.is_valid() else None
    return free.free_days(free.asked_at_the_desk(kind, request.shop), since=first, count=DAYS_SHOWN)


def _page(
    request: HttpRequest, kind: VisitKind | None, form: DeskBookingForm | None, *, status: int = 200, **more: object
) -> HttpResponse:
    if form is None and kind is not None:
        form = DeskBookingForm(days=_days(request, kind), initial={"key": uuid4()})
    page = {"kinds": access.offered_kinds(), "kind": kind, "form": form, "since": request.GET.get("since", "")}
    return render(request, "garage/desk_booking.html", page | more, status=status)
