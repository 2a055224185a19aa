"""Setting a step by hand: first a look at what it costs the day, then it is fixed, or taken out again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST
from django.views.decorators.vary import vary_on_headers

from garage.changes.day import steps
from garage.core.time.clock import day_read
from garage.models.visits import Step
from garage.pages.by_hand import PinStanding, StepToSet, by_hand, what_it_costs
from garage.pages.day_sheet import DayPage, day_page
from garage.reads import access
from garage.reads.people import in_order, workers
from garage.reads.pinned_days import HandPin
from garage.views.answers import carried_out, status_of
from garage.views.day.forms import PinForm
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest, today


@dataclass(frozen=True)
class SetByHand:
    """One step with its form. cost: what was looked at, in sentences. is_open: it is being filled in."""

    row: StepToSet
    form: PinForm
    cost: str = ""
    is_open: bool = False


@dataclass(frozen=True)
class HandForms:
    steps: tuple[SetByHand, ...]
    pins: tuple[PinStanding, ...]


@workshop
@require_POST
def step_pin(request: WorkshopRequest, step_id: int) -> HttpResponse:
    """With nothing filled in, what was fixed is taken out."""
    step, day = access.step_or_404(step_id), day_asked(request, request.POST.get("day", ""))
    form = _form(request, step)
    if carried_out(
        form,
        lambda: steps.pin(step, by=request.user, now=request.now, **form.pin(day, request.shop.local_time)),
    ):
        return redirect(f"{reverse('day-sheet-on', args=[day.isoformat()])}#by-hand")
    return _come_back(request, day, step, form)


@workshop
@require_POST
@vary_on_headers("HX-Request")
def step_pin_look(request: WorkshopRequest, step_id: int) -> HttpResponse:
    """Nothing is changed. The form comes back as it was typed, with what it would cost."""
    step, day = access.step_or_404(step_id), day_asked(request, request.POST.get("day", ""))
    form = _form(request, step)
    looked = carried_out(form, lambda: _cost(request, step, day, form))
    return _come_back(request, day, step, form, looked.made if looked else "")


def _form(request: WorkshopRequest, step: Step) -> PinForm:
    return PinForm(request.POST, step=step, people=list(workers()), local=request.shop.local_time)


def _cost(request: WorkshopRequest, step: Step, day: date, form: PinForm) -> str:
    pin = HandPin(**form.pin(day, request.shop.local_time))
    return what_it_costs(step, day, pin, request.shop, now=request.now)


def _come_back(request: WorkshopRequest, day: date, step: Step, form: PinForm, cost: str = "") -> HttpResponse:
    """The whole sheet; for htmx this form alone."""
    if request.htmx:
        row = SetByHand(StepToSet(step.visit.number, step, ""), form, cost, is_open=True)
        values = {"one": row, "day": day}
        return render(request, "garage/_by_hand_step.html", values, status=status_of(form))
    page = day_page(day, request.shop, now=request.now)
    values = {"page": page, "hand": hand_forms(request, page, step=step, form=form, cost=cost)}
    return render(request, "garage/day_sheet.html", values, status=status_of(form))


def hand_forms(
    request: WorkshopRequest, page: DayPage, *, step: Step | None = None, form: PinForm | None = None, cost: str = ""
) -> HandForms:
    """step, form, cost: of the one that is being filled in, which stands there even if the day has no place for it."""
    shown = by_hand(page, request.shop, now=request.now)
    rows = list(shown.steps)
    if step and all(row.step.pk != step.pk for row in rows):
        rows.append(StepToSet(step.visit.number, step, ""))
    local, people = request.shop.local_time, in_order(page.read.people)
    return HandForms(
        steps=tuple(
            SetByHand(row, form, cost, is_open=True)
            if form and step and row.step.pk == step.pk
            else SetByHand(row, PinForm(step=row.step, people=people, local=local))
            for row in rows
        ),
        pins=shown.pins,
    )


def day_asked(request: WorkshopRequest, text: str) -> date:
    """The day whose sheet it is: today's without one."""
    if not text:
        return today(request)
    if (day := day_read(text)) is None:
        raise Http404
    return day
