"""The book: invoices, payments and VAT of a period, and what is still to be paid."""

from calendar import monthrange
from datetime import date, timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from garage.reads.shop import today
from garage.views.doors import money
from jobs.pages.book import book_page
from jobs.views.forms import PeriodForm


@money
@require_safe
def the_book(request: HttpRequest) -> HttpResponse:
    first, last = _month(today())
    form = PeriodForm(request.GET or None, initial={"first": first, "last": last})
    if form.is_bound and form.is_valid():
        first, last = form.cleaned_data["first"], form.cleaned_data["last"]
    values = {"page": book_page(first, last), "form": form, "periods": _periods(today())}
    return render(request, "jobs/the_book.html", values, status=422 if form.is_bound and form.errors else 200)


def _month(day: date) -> tuple[date, date]:
    return day.replace(day=1), day.replace(day=monthrange(day.year, day.month)[1])


def _periods(day: date) -> list[tuple[str, date, date]]:
    """Links to the periods that are asked for most."""
    first, last = _month(day)
    month_before = _month(first - timedelta(days=1))
    quarter = day.replace(month=(day.month - 1) // 3 * 3 + 1, day=1)
    quarter_last = _month(quarter.replace(month=quarter.month + 2))[1]
    year = day.replace(month=1, day=1), day.replace(month=12, day=31)
    return [
        ("today", day, day),
        ("this month", first, last),
        ("last month", *month_before),
        ("this quarter", quarter, quarter_last),
        ("this year", *year),
    ]
