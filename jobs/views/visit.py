"""Visits: the list with its search, and the workshop's page of one."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from garage.reads.access import visit_for
from garage.views.doors import workshop
from jobs.pages.came_back import of_last_time
from jobs.pages.visit import visit_page
from jobs.reads.search import visits_found
from jobs.views.forms import SearchForm

PER_PAGE = 50


@workshop
@require_safe
def visits(request: HttpRequest) -> HttpResponse:
    form = SearchForm(request.GET)
    words = form.cleaned_data["q"] if form.is_valid() else ""
    rows = Paginator(visits_found(words), PER_PAGE).get_page(request.GET.get("page"))
    return render(request, "jobs/visits.html", {"form": form, "words": words, "rows": rows})


@workshop
@require_safe
def visit(request: HttpRequest, number: int) -> HttpResponse:
    found = visit_for(request.user, number)
    may_take = request.user.role != request.user.MECHANIC
    values = {"page": visit_page(found), "may_take": may_take, "came": of_last_time(found)}
    return render(request, "jobs/visit.html", values)
