"""The book: invoices, payments and VAT of a period, and what is still to be paid."""

from tempfile import TemporaryFile

from django.contrib import messages
from django.http import FileResponse, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from garage.views.answers import status_of
from garage.views.doors import money
from garage.views.requests import WorkshopRequest, today
from jobs.core.periods import month_of, periods
from jobs.pages.book import book_page
from jobs.papers.archive import write_archive
from jobs.reads.documents import frozen_between
from jobs.views.forms import PeriodForm

MOST_IN_A_FILE = 1000  # papers: about 20 MB, and a year of a busy garage


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


@money
@require_safe
def book_archive(request: WorkshopRequest) -> HttpResponseBase:
    """Papers and XML of a period. A period that cannot be is answered by the book's own page."""
    form = PeriodForm(request.GET)
    if not form.is_valid():
        return the_book(request)
    first, last = form.cleaned_data["first"], form.cleaned_data["last"]
    rows = frozen_between(first, last)
    count = rows.count()
    if not 0 < count <= MOST_IN_A_FILE:
        said = f"{count} papers are too many for one file: choose a shorter period." if count else "No paper then."
        messages.error(request, said)
        return redirect(f"{reverse('the-book')}?first={first}&last={last}")
    file = TemporaryFile()  # noqa: SIM115  # the answer closes it
    write_archive(rows, file)
    file.seek(0)
    name = f"book-{first}-to-{last}.zip"
    return FileResponse(file, as_attachment=True, filename=name, content_type="application/zip")
