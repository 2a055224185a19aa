"""The workshop changes a visit as a whole: another time, called off, did not come, or a new state."""

from __future__ import annotations

from functools import partial

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from garage.changes.mail import notices
from garage.changes.visit import deposits, floor, visits
from garage.changes.visit.limits import agree_bench_limit
from garage.core import states
from garage.models.shop import BENCH
from garage.models.visits import Visit
from garage.reads import access
from garage.reads.free import asked_for
from garage.reads.roller_facts import why_no_time
from garage.views.answers import carried_out, posted, pressed, sentence_of, status_of
from garage.views.booking.forms import TimeForm
from garage.views.booking.times import times_shown
from garage.views.day.by_hand import day_asked
from garage.views.day.moved import saying_what_moves
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest
from garage.views.visits.forms import (
    BenchLimitForm,
    CallOffForOwnerForm,
    PlaceAndTimeForm,
    PlaceForm,
    StateForm,
    WaitForm,
    WhyForm,
)

DAYS_SHOWN = 10


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def visit_move(request: WorkshopRequest, number: int) -> HttpResponse:
    visit, form = access.visit_for(request.user, number), TimeForm(posted(request))
    if carried_out(form, lambda: visits.move(visit, **form.cleaned_data, by=request.user, now=request.now)):
        messages.success(request, f"Visit {number} is moved; {_notice_words(visit)}.")
        return redirect("visit", number=number)
    has_time, why_none = visit.starts_at is not None, why_no_time(visit, visit.at)
    may_move = has_time and not why_none
    asked = asked_for(visit, at=visit.at, minutes=visit.minutes, shop=request.shop) if may_move else None
    page = {"visit": visit, "why_none": why_none} | times_shown(request, asked, form, days_shown=DAYS_SHOWN)
    return render(request, "garage/visit_move.html", page, status=status_of(form))


@workshop
@require_safe
def visit_move_look(request: WorkshopRequest, number: int) -> HttpResponse:
    """Asks once more: the old time, the new one, and what the owner would be mailed. Nothing is moved yet."""
    visit, form = access.visit_for(request.user, number), TimeForm(request.GET)
    if visit.starts_at is None or not form.is_valid():
        messages.error(request, sentence_of(form) or f"Visit {number} has no time to move.")
        return redirect("visit-move", number=number)
    starts_at = form.cleaned_data["starts_at"]
    letter = notices.moved_letter(visit, request.shop, starts_at=starts_at, now=request.now)
    page = {"visit": visit, "starts_at": starts_at, "day": request.shop.local_time.day(starts_at), "letter": letter}
    return render(request, "garage/visit_move_look.html", page)


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def visit_time(request: WorkshopRequest, number: int) -> HttpResponse:
    """A time for a visit without one. GET shows what is free for a place and a length."""
    visit, form = access.visit_for(request.user, number), PlaceAndTimeForm(posted(request))
    if carried_out(form, lambda: visits.give_time(visit, **form.cleaned_data, by=request.user, now=request.now)):
        messages.success(request, f"Visit {number} has a time; {_notice_words(visit)}.")
        return redirect("visit", number=number)
    asks = request.GET if "at" in request.GET else _place_of(visit)
    place = PlaceForm(posted(request) or asks)
    why_none = why_no_time(visit, place.cleaned_data["at"]) if place.is_valid() else ""
    may_have = place.is_valid() and not why_none
    asked = asked_for(visit, **place.cleaned_data, shop=request.shop) if may_have else None
    kept = place.cleaned_data if place.is_valid() else None
    page = {"visit": visit, "place": place, "why_none": why_none}
    page |= times_shown(request, asked, form, days_shown=DAYS_SHOWN, kept=kept)
    return render(request, "garage/visit_time.html", page, status=status_of(form if form.is_bound else place))


def _place_of(visit: Visit) -> dict[str, object]:
    """The bench while it is to be put right, otherwise where its session was booked."""
    if (visit.bench_minutes or visit.is_kept_off) and not visit.gate_passed_at:
        return {"at": BENCH, "minutes": visit.bench_minutes or visit.kind.minutes}
    return {"at": visit.kind.at, "minutes": visit.kind.minutes}


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def visit_bench_limit(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    form = BenchLimitForm(posted(request), initial={"pounds": visit.bench_limit_pounds})
    if carried_out(form, lambda: agree_bench_limit(visit, by=request.user, now=request.now, **form.cleaned_data)):
        return redirect(f"{reverse('visit', args=[number])}#money")
    return render(request, "garage/visit_bench_limit.html", {"visit": visit, "form": form}, status=status_of(form))


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def visit_call_off(request: WorkshopRequest, number: int) -> HttpResponse:
    visit, form = access.visit_for(request.user, number), CallOffForOwnerForm(posted(request))
    change = partial(visits.call_off, visit, by=request.user, now=request.now)
    if carried_out(form, saying_what_moves(request, lambda: change(**form.cleaned_data))):
        messages.success(request, f"Visit {number} is called off; {_notice_words(visit)}.")
        return redirect("visit", number=number)
    return render(request, "garage/visit_call_off.html", {"visit": visit, "form": form}, status=status_of(form))


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def visit_put_off(request: WorkshopRequest, number: int) -> HttpResponse:
    visit, form = access.visit_for(request.user, number), WhyForm(posted(request))
    if carried_out(form, lambda: visits.put_off(visit, **form.cleaned_data, by=request.user, now=request.now)):
        messages.success(request, f"Visit {number} has given its time back; {_notice_words(visit)}.")
        return redirect("visit", number=number)
    return render(request, "garage/visit_put_off.html", {"visit": visit, "form": form}, status=status_of(form))


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def deposit_wait(request: WorkshopRequest, number: int) -> HttpResponse:
    visit, form = access.visit_for(request.user, number), WaitForm(posted(request))
    if carried_out(form, lambda: deposits.wait_until(visit, **form.cleaned_data, by=request.user, now=request.now)):
        messages.success(request, f"Visit {number} keeps its time until then.")
        return redirect("ring-list")
    return render(request, "garage/deposit_wait.html", {"visit": visit, "form": form}, status=status_of(form))


@workshop
@require_POST
def visit_did_not_come(request: WorkshopRequest, number: int) -> HttpResponse:
    """Pressed on its page, or on the day sheet, which shows what moves."""
    visit, day = access.visit_for(request.user, number), request.POST.get("day", "")
    then = redirect("day-sheet-on", day_asked(request, day).isoformat()) if day else redirect("visit", number=number)
    return pressed(
        request,
        saying_what_moves(request, lambda: visits.did_not_come(visit, by=request.user, now=request.now)),
        then=then,
        said=f"Visit {number} did not come; its time is free again.",
    )


@workshop
@require_POST
def visit_state(request: WorkshopRequest, number: int) -> HttpResponse:
    visit, form = access.visit_for(request.user, number), StateForm(request.POST)
    return pressed(
        request,
        saying_what_moves(request, lambda: floor.say(visit, **form.sent(), by=request.user, now=request.now)),
        then=redirect("visit", number=number),
        said=f"Visit {number} is now {states.WORDS.get(form.data.get('state', ''))}.",
    )


def _notice_words(visit: Visit) -> str:
    if visit.owner.email:
        return "the owner gets an email"
    return f"there is no email address on file, so ring {visit.owner.telephone}"
