"""The day sheet: drawn, as a list, on one A4 page; and the buttons that begin and end a step."""

from datetime import date

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe
from django.views.decorators.vary import vary_on_headers

from garage.changes import steps
from garage.core.errors import Refused
from garage.output.pdf import pdf
from garage.pages.day_sheet import day_page
from garage.reads import access
from garage.reads.clock import today
from garage.views.doors import workshop
from garage.views.forms_day import BeginForm, PinForm


@workshop
@require_safe
@vary_on_headers("HX-Request")
def day_sheet(request: HttpRequest, day: str = "") -> HttpResponse:
    page = day_page(_day(day), now=timezone.now())
    fragment = "#day-list" if request.htmx else ""
    return render(request, f"garage/day_sheet.html{fragment}", {"page": page})


@workshop
@require_safe
def day_sheet_pdf(request: HttpRequest, day: str) -> HttpResponse:
    page = day_page(_day(day), now=timezone.now())
    paper = pdf(render_to_string("papers/day_sheet.html", {"page": page}, request))
    name = f"day-sheet-{page.day:%Y-%m-%d}.pdf"
    return HttpResponse(
        paper, content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}"'}
    )


@workshop
@require_POST
def step_begin(request: HttpRequest, step_id: int) -> HttpResponse:
    step = access.step_or_404(step_id)
    form = BeginForm(request.POST)
    if not form.is_valid():
        return _said(request, f"Which {step.at}? Give its number, 1 or more.")
    return _tried(request, lambda: steps.begin(step, by=request.user, station=form.cleaned_data["station"]))


@workshop
@require_POST
def step_end(request: HttpRequest, step_id: int) -> HttpResponse:
    step = access.step_or_404(step_id)
    return _tried(request, lambda: steps.end(step, by=request.user))


@workshop
@require_POST
def step_pin(request: HttpRequest, step_id: int) -> HttpResponse:
    step = access.step_or_404(step_id)
    form = PinForm(request.POST)
    if not form.is_valid():
        return _said(request, form.sentence())
    return _tried(request, lambda: steps.pin(step, by=request.user, **form.pin(_day(request.POST.get("day", "")))))


def _day(text: str) -> date:
    if not text:
        return today()
    try:
        return date.fromisoformat(text)
    except ValueError as trouble:
        raise Http404 from trouble


def _tried(request: HttpRequest, change: object) -> HttpResponse:
    try:
        change()
    except Refused as refused:
        messages.error(request, refused.sentence)
    return _back(request)


def _said(request: HttpRequest, sentence: str) -> HttpResponse:
    messages.error(request, sentence)
    return _back(request)


def _back(request: HttpRequest) -> HttpResponse:
    """To the page the button stood on: a day, or a visit."""
    visit = request.POST.get("visit", "")
    if visit.isdigit():
        return redirect("visit", number=int(visit))
    day = request.POST.get("day", "")
    return redirect("day-sheet-on", day=_day(day).isoformat()) if day else redirect("day-sheet")
