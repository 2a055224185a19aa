"""The book: invoices, payments and VAT of a period, what is still to be paid, and the journal for the bookkeeper."""

from datetime import date
from tempfile import TemporaryFile

from django.contrib import messages
from django.http import FileResponse, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from garage.output.speaking import speaking
from garage.reads.access import owner_or_404
from garage.views.answers import status_of
from garage.views.doors import money
from garage.views.requests import WorkshopRequest, today
from jobs.core.book.csv_file import journal_csv
from jobs.core.book.journal import journal
from jobs.core.periods import month_of, periods
from jobs.pages.book import book_page
from jobs.pages.owed import owed_page
from jobs.pages.statement import statement_page
from jobs.pages.vat import vat_page
from jobs.papers.archive import write_archive
from jobs.papers.statement import statement_pdf
from jobs.reads.book_facts import book_facts
from jobs.reads.documents import frozen_between
from jobs.views.forms import PeriodForm

MOST_IN_A_FILE = 1000  # papers: about 20 MB, and a year of a busy garage


@money
@require_safe
def the_book(request: WorkshopRequest) -> HttpResponse:
    form, first, last = _period(request)
    page = book_page(first, last, request.shop.local_time)
    values = {"page": page, "form": form, "periods": periods(today(request))}
    return render(request, "jobs/the_book.html", values, status=status_of(form))


@money
@require_safe
def book_vat(request: WorkshopRequest) -> HttpResponse:
    form, first, last = _period(request)
    page = vat_page(first, last, request.shop.local_time)
    values = {"page": page, "form": form, "periods": periods(today(request))}
    return render(request, "jobs/book_vat.html", values, status=status_of(form))


@money
@require_safe
def book_owed(request: WorkshopRequest) -> HttpResponse:
    page = owed_page(today(request), request.shop.invoice_due_days)
    return render(request, "jobs/book_owed.html", {"page": page})


@money
@require_safe
def book_journal(request: WorkshopRequest) -> HttpResponse:
    """Of the period, this month's without one. A period that cannot be read is this month too: a file says no more."""
    _, first, last = _period(request)
    facts = book_facts(request.shop.local_time)
    entries = [entry for entry in journal(facts.papers, facts.payments) if first <= entry.on <= last]
    headers = {"Content-Disposition": f'attachment; filename="journal-{first}-{last}.csv"'}
    return HttpResponse(journal_csv(entries), content_type="text/csv; charset=utf-8", headers=headers)


@money
@require_safe
def owner_statement(request: WorkshopRequest, owner_id: int) -> HttpResponse:
    page = statement_page(owner_or_404(owner_id), request.shop.local_time)
    return render(request, "jobs/owner_statement.html", {"page": page})


@money
@require_safe
def owner_statement_pdf(request: WorkshopRequest, owner_id: int) -> HttpResponse:
    """In its owner's language, whoever prints it."""
    owner = owner_or_404(owner_id)
    with speaking(owner.language):
        page = statement_page(owner, request.shop.local_time)
        content = statement_pdf(page, request.shop, today=today(request))
    headers = {"Content-Disposition": 'inline; filename="statement.pdf"'}
    return HttpResponse(content, content_type="application/pdf", headers=headers)


def _period(request: WorkshopRequest) -> tuple[PeriodForm, date, date]:
    """This month, until another is chosen."""
    first, last = month_of(today(request))
    form = PeriodForm(request.GET or None, initial={"first": first, "last": last})
    if form.is_valid():
        first, last = form.cleaned_data["first"], form.cleaned_data["last"]
    return form, first, last


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
