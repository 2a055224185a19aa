"""Booking by an owner: day and time, who and which machine, one look at everything, booked."""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime

from django import forms
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from garage.changes.day import holds
from garage.changes.visit import bookings
from garage.core.selling.draft import Draft
from garage.models.shop import VisitKind
from garage.models.visits import Visit
from garage.pages.booked import booked_page
from garage.pages.standby import suits_words
from garage.reads import access
from garage.reads.free import asked_online
from garage.reads.selling import held_until
from garage.views.answers import carried_out, error_of, posted, status_of
from garage.views.booking import drafts
from garage.views.booking.forms import OwnerBookingForm, TimeForm
from garage.views.booking.times import since_of, times_shown
from garage.views.doors import once_open
from garage.views.network_address import address_key
from garage.views.requests import ShopRequest

DAYS_SHOWN = 7


@once_open
@require_safe
def book_time(request: ShopRequest, kind: str) -> HttpResponse:
    return _times(request, access.kind_by_slug(kind))


@once_open
@require_POST
def book_hold(request: ShopRequest) -> HttpResponse:
    """Holds the time that was pressed."""
    kind, form = access.kind_by_slug(request.POST.get("kind", "")), TimeForm(request.POST)
    browser = drafts.new_browser(request)
    if carried_out(form, lambda: _hold(request, browser, kind, form.cleaned_data["starts_at"])):
        drafts.keep_time(request, kind, form.cleaned_data["starts_at"])
        return redirect("book-who")
    return _times(request, kind, form)


@once_open
@require_http_methods(["GET", "HEAD", "POST"])
def book_who(request: ShopRequest) -> HttpResponse:
    """What was typed is saved before the hold is renewed, so that it survives choosing another time."""
    found = drafts.chosen(request)
    if found is None:
        return redirect("front")
    form = OwnerBookingForm(posted(request), initial=asdict(found.who) if found.who else None)
    if form.is_valid():
        drafts.keep_who(request, form.who())
    if carried_out(form, lambda: _held_on(request, found)):
        return redirect("book-look")
    if error_of(form):
        return _times(request, found.kind, form)
    return render(request, "garage/book_who.html", _page(request, found) | {"form": form}, status=status_of(form))


@once_open
@require_safe
def book_look(request: ShopRequest) -> HttpResponse:
    found = drafts.chosen(request)
    if found is None or found.who is None:
        return redirect("front" if found is None else "book-who")
    draft = drafts.draft_from(found.kind, found.starts_at, found.key, found.who)
    sooner = suits_words(draft.sooner.notice_hours, draft.sooner.weekdays) if draft.sooner else ""
    return render(request, "garage/book_look.html", _page(request, found) | {"draft": draft, "sooner": sooner})


@once_open
@require_POST
def book_confirm(request: ShopRequest) -> HttpResponse:
    found, form, browser = drafts.chosen(request), forms.Form(request.POST), drafts.browser_of(request)
    if found is None or found.who is None:
        return redirect("booked" if found is None else "book-who")
    draft = drafts.draft_from(found.kind, found.starts_at, found.key, found.who)
    booking = carried_out(form, lambda: _book(request, draft, browser))
    if booking is None:
        return _times(request, found.kind, form)
    drafts.is_booked(request, booking.made.number)
    return redirect("booked")


@once_open
@require_safe
def booked(request: ShopRequest) -> HttpResponse:
    page = booked_page(request.session.get(drafts.BOOKED), now=request.now)
    if page is None:
        return redirect("front")
    return render(request, "garage/booked.html", {"page": page})


def _book(request: ShopRequest, draft: Draft, browser: str) -> Visit:
    return bookings.book_online(draft, browser=browser, address_key=address_key(request), now=request.now)


def _hold(request: ShopRequest, browser: str, kind: VisitKind, starts_at: datetime) -> None:
    holds.take(browser=browser, address_key=address_key(request), kind=kind, starts_at=starts_at, now=request.now)


def _held_on(request: ShopRequest, found: drafts.Chosen) -> None:
    holds.keep(
        browser=drafts.browser_of(request),
        address_key=address_key(request),
        kind=found.kind,
        starts_at=found.starts_at,
        now=request.now,
    )


def _page(request: ShopRequest, found: drafts.Chosen) -> dict[str, object]:
    return {"chosen": found, "held_until": held_until(drafts.browser_of(request), found.starts_at, now=request.now)}


def _times(request: ShopRequest, kind: VisitKind, form: forms.Form | None = None) -> HttpResponse:
    """The page of days and times, also shown when a time was taken."""
    asked = asked_online(kind, request.shop, browser=drafts.browser_of(request))
    page = {"kind": kind, "is_later": since_of(request) is not None}
    page |= times_shown(request, asked, form, days_shown=DAYS_SHOWN)
    return render(request, "garage/book_time.html", page, status=status_of(form))
