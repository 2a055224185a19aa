"""Visits: the searchable list, and the workshop's page of one."""

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from garage.reads.access import visit_for
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest
from jobs.pages.came_back import of_last_time
from jobs.pages.visit import visit_page
from jobs.reads.search import visits_found
from jobs.views.forms import SearchForm

PER_PAGE = 50


@workshop
@require_safe
def visits(request: WorkshopRequest) -> HttpResponse:
    form = SearchForm(request.GET)
    words = form.cleaned_data["q"] if form.is_valid() else ""
    rows = Paginator(visits_found(words), PER_PAGE).get_page(request.GET.get("page"))
    return render(request, "jobs/visits.html", {"form": form, "words": words, "rows": rows})


@workshop
@require_safe
def visit(request: WorkshopRequest, number: int) -> HttpResponse:
    found = visit_for(request.user, number)
    values = {
        "page": visit_page(found, now=request.now),
        "may_take": request.user.handles_money,
        "came": of_last_time(found),
    }
    return render(request, "jobs/visit.html", values)
