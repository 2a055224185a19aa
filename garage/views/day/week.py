"""The week: what is sold, in doubt, kept free and still free on each of its days."""

from __future__ import annotations

from datetime import date

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from garage.pages.week import week_page
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest, today

FIRST_YEAR, LAST_YEAR = 2000, 2100  # a slip of the keys beyond; common practice


@workshop
@require_safe
def week(request: WorkshopRequest, day: str = "") -> HttpResponse:
    """day: any day of it. Without one the week of today."""
    page = week_page(_day(day) if day else today(request), request.shop, now=request.now)
    return render(request, "garage/week.html", {"page": page})


def _day(text: str) -> date:
    try:
        day = date.fromisoformat(text)
    except ValueError as trouble:
        raise Http404 from trouble
    if not FIRST_YEAR <= day.year < LAST_YEAR:
        raise Http404
    return day
