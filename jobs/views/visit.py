"""Visits: the searchable list, and the workshop's page of one."""

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from diagnostics.changes.owner_choice import fix_it_yourself
from garage.changes.visit.owner_choices import give_the_time_back
from garage.core.selling.owner_choice import MYSELF
from garage.pages.roller_caution import caution_now
from garage.reads.access import visit_for
from garage.views.answers import pressed
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest
from jobs.pages.came_back import of_last_time
from jobs.pages.returning import returning_shown
from jobs.pages.visit import visit_page
from jobs.pages.visits import visit_rows
from jobs.reads.search import visits_found
from jobs.views.forms import ChoiceForm, SearchForm

PER_PAGE = 50


@workshop
@require_safe
def visits(request: WorkshopRequest) -> HttpResponse:
    form = SearchForm(request.GET)
    words = form.cleaned_data["q"] if form.is_valid() else ""
    rows = Paginator(visits_found(words, request.shop.calling_code), PER_PAGE).get_page(request.GET.get("page"))
    values = {"form": form, "words": words, "rows": rows, "shown": visit_rows(list(rows), request.user)}
    return render(request, "jobs/visits.html", values)


@workshop
@require_safe
def visit(request: WorkshopRequest, number: int) -> HttpResponse:
    found = visit_for(request.user, number)
    page = visit_page(found, request.shop, now=request.now)
    came = of_last_time(found)
    values = {
        "page": page,
        "caution": caution_now(page.now_step if page.stations else None, request.shop, now=request.now),
        "may_take": request.user.handles_money,
        "came": came,
        "returning": returning_shown(found, page.card) if came or page.card else None,  # of none there is no come-back
    }
    return render(request, "jobs/visit.html", values)


@workshop
@require_POST
def visit_choice(request: WorkshopRequest, number: int) -> HttpResponse:
    """The owner was rung and puts it right at home, or its time is given back without an answer."""
    visit, form = visit_for(request.user, number), ChoiceForm(request.POST)

    def choose() -> None:
        change = fix_it_yourself if form.sent()["choice"] == MYSELF else give_the_time_back
        change(visit, by=request.user, now=request.now)

    said = f"Visit {number} has given its time back."
    return pressed(request, choose, then=redirect("visit", number=number), said=said)
