"""Booking by an owner: day and time, who and which machine, one look at everything, booked."""

from __future__ import annotations

from datetime import timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from garage.changes import bookings, holds
from garage.changes.selling import Taken
from garage.core.errors import Refused
from garage.models.shop import VisitKind
from garage.reads import access, free
from garage.reads.holds import held_until
from garage.views import drafts
from garage.views.addresses import address_key
from garage.views.forms_booking import MachineAndOwnerForm, SinceForm, TimeForm

DAYS_SHOWN = 7


@require_safe
def book_time(request: HttpRequest, kind: str) -> HttpResponse:
    return _times(request, access.kind_by_slug(kind))


@require_POST
def book_hold(request: HttpRequest) -> HttpResponse:
    """Holds the time that was pressed."""
    kind = access.kind_by_slug(request.POST.get("kind", ""))
    form = TimeForm(request.POST)
    if not form.is_valid():
        return _times(request, kind, trouble=form.errors["starts_at"][0], status=422)
    starts_at, browser = form.cleaned_data["starts_at"], drafts.new_browser(request)
    try:
        holds.take(browser=browser, address_key=address_key(request), kind=kind, starts_at=starts_at)
    except Refused as refused:
        return _refused(request, kind, refused)
    drafts.keep_time(request, kind, starts_at)
    return redirect("book-who")


@require_http_methods(["GET", "HEAD", "POST"])
def book_who(request: HttpRequest) -> HttpResponse:
    found = drafts.chosen(request)
    if found is None:
        return redirect("front")
    form = MachineAndOwnerForm(request.POST or None, initial=dict(found.who))
    if request.method != "POST" or not form.is_valid():
        page = _page(request, found) | {"form": form}
        return render(request, "garage/book_who.html", page, status=422 if form.errors else 200)
    drafts.keep_who(request, form.cleaned_data)
    try:
        _keep(request, found)
    except Refused as refused:
        return _refused(request, found.kind, refused)
    return redirect("book-look")


@require_safe
def book_look(request: HttpRequest) -> HttpResponse:
    found = drafts.chosen(request)
    if found is None or not found.is_complete:
        return redirect("front" if found is None else "book-who")
    return render(request, "garage/book_look.html", _page(request, found) | {"draft": drafts.draft_of(found)})


@require_POST
def book_confirm(request: HttpRequest) -> HttpResponse:
    found = drafts.chosen(request)
    if found is None or not found.is_complete:
        return redirect("booked" if found is None else "book-who")
    try:
        visit = bookings.book_online(drafts.draft_of(found), browser=drafts.browser_of(request))
    except Refused as refused:
        return _refused(request, found.kind, refused)
    drafts.is_booked(request, visit.number)
    return redirect("booked")


@require_safe
def booked(request: HttpRequest) -> HttpResponse:
    page = access.booked_page(request.session.get(drafts.BOOKED))
    if page is None:
        return redirect("front")
    return render(request, "garage/booked.html", {"page": page})


def _keep(request: HttpRequest, found: drafts.Chosen) -> None:
    holds.keep(
        browser=drafts.browser_of(request),
        address_key=address_key(request),
        kind=found.kind,
        starts_at=found.starts_at,
    )


def _page(request: HttpRequest, found: drafts.Chosen) -> dict:
    return {"chosen": found, "held_until": held_until(drafts.browser_of(request), found.starts_at)}


def _times(
    request: HttpRequest, kind: VisitKind, *, trouble: str = "", status: int = 200, **more: object
) -> HttpResponse:
    """The page of days and times; also the answer when a time could not be had."""
    since = SinceForm(request.GET)
    asked = free.asked_online(kind, request.shop, browser=drafts.browser_of(request))
    first = since.cleaned_data["since"] if since.is_valid() else None
    days = free.free_days(asked, since=first, count=DAYS_SHOWN)
    page = {
        "kind": kind,
        "days": days,
        "later": days[-1].day + timedelta(days=1) if len(days) == DAYS_SHOWN else None,
        "is_later": first is not None,
        "trouble": trouble,
    }
    return render(request, "garage/book_time.html", page | more, status=status)


def _refused(request: HttpRequest, kind: VisitKind, refused: Refused) -> HttpResponse:
    near = free.nearest_free(refused.asked, refused.starts_at) if isinstance(refused, Taken) else []
    return _times(request, kind, trouble=refused.sentence, status=409, near=near)
