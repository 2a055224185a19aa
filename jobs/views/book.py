"""The book: invoices, payments and VAT of a period, and what is still to be paid."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from garage.views.answers import status_of
from garage.views.doors import money
from garage.views.requests import WorkshopRequest, today
from jobs.core.periods import month_of, periods
from jobs.pages.book import book_page
from jobs.views.forms import PeriodForm


@money
@require_safe
def the_book(request: WorkshopRequest) -> HttpResponse:
    day = today(request)
    first, last = month_of(day)
    form = PeriodForm(request.GET or None, initial={"first": first, "last": last})
    if form.is_valid():
        first, last = form.cleaned_data["first"], form.cleaned_data["last"]
    values = {"page": book_page(first, last, request.shop.local_time), "form": form, "periods": periods(day)}
    return render(request, "jobs/the_book.html", values, status=status_of(form))
