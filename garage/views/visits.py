"""The workshop changes a visit as a whole: another time, called off, did not come, what it is now."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from garage.changes import floor, visits
from garage.changes.selling import Taken
from garage.core.errors import BadInput, Refused
from garage.models.shop import BENCH
from garage.models.visits import Visit
from garage.reads import access, free
from garage.views.doors import workshop
from garage.views.forms_booking import PlaceForm, SinceForm, StateForm, TimeForm, WhyForm

DAYS_SHOWN = 10


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def visit_move(request: HttpRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    form = TimeForm(request.POST or None)
    if request.method != "POST":
        return _move_page(request, visit)
    if not form.is_valid():
        return _move_page(request, visit, trouble=form.errors["starts_at"][0], status=422)
    try:
        visits.move(visit, starts_at=form.cleaned_data["starts_at"], by=request.user)
    except Refused as refused:
        return _move_page(request, visit, trouble=refused.sentence, status=409, near=_near(refused))
    messages.success(request, f"Visit {number} is moved; {_told(visit)}.")
    return redirect("visit", number=number)


def _move_page(request: HttpRequest, visit: Visit, **more: object) -> HttpResponse:
    days: list[free.FreeDay] = []
    if visit.starts_at is not None:
        asked = free.asked_for(visit, at=visit.at, minutes=visit.minutes, shop=request.shop)
        days = free.free_days(asked, since=_since(request), count=DAYS_SHOWN)
    return _times_page(request, "garage/visit_move.html", visit, days, more)


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def visit_time(request: HttpRequest, number: int) -> HttpResponse:
    """A time for a visit without one. GET shows what is free for a place and a length."""
    visit = access.visit_for(request.user, number)
    if request.method != "POST":
        return _time_page(request, visit, PlaceForm(request.GET if "at" in request.GET else _place_of(visit)))
    place, time = PlaceForm(request.POST), TimeForm(request.POST)
    if not (place.is_valid() and time.is_valid()):
        return _time_page(request, visit, place, trouble="Choose a place, a length and one of the times.", status=422)
    try:
        visits.give_time(visit, **place.cleaned_data, **time.cleaned_data, by=request.user)
    except Refused as refused:
        return _time_page(request, visit, place, trouble=refused.sentence, status=409, near=_near(refused))
    messages.success(request, f"Visit {number} has a time; {_told(visit)}.")
    return redirect("visit", number=number)


def _place_of(visit: Visit) -> dict:
    """Bench time while it is to be put right, its booked session otherwise."""
    if visit.bench_minutes and not visit.gate_passed_at:
        return {"at": BENCH, "minutes": visit.bench_minutes}
    return {"at": visit.kind.at, "minutes": visit.kind.minutes}


def _time_page(request: HttpRequest, visit: Visit, place: PlaceForm, **more: object) -> HttpResponse:
    days: list[free.FreeDay] = []
    if place.is_valid():
        asked = free.asked_for(visit, **place.cleaned_data, shop=request.shop)
        days = free.free_days(asked, since=_since(request), count=DAYS_SHOWN)
    elif not more:
        more["status"] = 422
    return _times_page(request, "garage/visit_time.html", visit, days, more | {"place": place})


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def visit_call_off(request: HttpRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    form = WhyForm(request.POST or None)
    page = {"visit": visit, "form": form}
    if request.method != "POST" or not form.is_valid():
        return render(request, "garage/visit_call_off.html", page, status=422 if form.errors else 200)
    try:
        visits.call_off(visit, why=form.cleaned_data["why"], by=request.user)
    except Refused as refused:
        return render(request, "garage/visit_call_off.html", page | {"trouble": refused.sentence}, status=409)
    messages.success(request, f"Visit {number} is called off; {_told(visit)}.")
    return redirect("visit", number=number)


@workshop
@require_POST
def visit_did_not_come(request: HttpRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    try:
        visits.did_not_come(visit, by=request.user)
    except Refused as refused:
        messages.error(request, refused.sentence)
    else:
        messages.success(request, f"Visit {number} did not come; its time is free again.")
    return redirect("visit", number=number)


@workshop
@require_POST
def visit_state(request: HttpRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    form = StateForm(request.POST)
    try:
        if not form.is_valid():
            raise BadInput("state", request.POST.get("state"), "one of the states on the page")
        visit = floor.say(visit, form.cleaned_data["state"], by=request.user)
    except (BadInput, Refused) as error:
        messages.error(request, error.sentence)
    else:
        messages.success(request, f"Visit {number} is now {visit.state_words}.")
    return redirect("visit", number=number)


def _told(visit: Visit) -> str:
    if visit.owner.email:
        return "the owner is told by mail"
    return f"no mail address is on file, so ring {visit.owner.telephone}"


def _since(request: HttpRequest) -> date | None:
    form = SinceForm(request.GET)
    return form.cleaned_data["since"] if form.is_valid() else None


def _near(refused: Refused) -> list[datetime]:
    return free.nearest_free(refused.asked, refused.starts_at) if isinstance(refused, Taken) else []


def _times_page(
    request: HttpRequest, template: str, visit: Visit, days: list[free.FreeDay], more: dict
) -> HttpResponse:
    later = days[-1].day + timedelta(days=1) if len(days) == DAYS_SHOWN else None
    status = more.pop("status", 200)
    return render(request, template, {"visit": visit, "days": days, "later": later} | more, status=status)
