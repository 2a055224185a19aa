"""Invoices and the till: preview, issue, the paper, payments, deposits, collected."""

from decimal import Decimal

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from garage.changes import floor
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads.access import visit_for
from garage.views.answers import carried_out, status_of
from garage.views.doors import money, workshop
from jobs.changes import invoices, payments
from jobs.models.book import Invoice
from jobs.pages.invoice import invoice_page
from jobs.papers.invoice import invoice_file_name, invoice_pdf
from jobs.reads import access
from jobs.reads.to_invoice import preview
from jobs.views.forms import DepositForm, IssueForm, PaymentForm


@money
@require_http_methods(["GET", "HEAD", "POST"])
def invoice_issue(request: HttpRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    if done := access.invoice_of(visit):
        return redirect("invoice", number=done.number)
    form = IssueForm(request.POST or None, initial=preview(visit).first_values)
    if request.POST.get("do") == "issue" and carried_out(
        form, lambda: invoices.issue(visit, by=request.user, **form.cleaned_data)
    ):
        messages.success(request, "Issued. The PDF is made and mailed now.")
        return redirect("invoice", number=access.invoice_of(visit).number)
    page = preview(visit, was_held=form.cleaned_data["was_held"] if form.is_bound and form.is_valid() else None)
    return render(request, "jobs/invoice_issue.html", {"page": page, "form": form}, status=status_of(form))


@workshop
@require_safe
def invoice(request: HttpRequest, number: int) -> HttpResponse:
    return _invoice(request, access.invoice_numbered(number))


@workshop
@require_safe
def invoice_pdf_of(request: HttpRequest, number: int) -> HttpResponse:
    return paper_answer(access.invoice_numbered(number))


@money
@require_POST
def payment_add(request: HttpRequest, number: int) -> HttpResponse:
    found = access.invoice_numbered(number)
    form = PaymentForm(request.POST)
    if not carried_out(form, lambda: payments.take(found, by=request.user, **form.cleaned_data)):
        return _invoice(request, found, form)
    messages.success(request, "Written in the book.")
    return redirect("invoice", number=number)


@money
@require_http_methods(["GET", "HEAD", "POST"])
def deposit_add(request: HttpRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    form = DepositForm(request.POST or None, initial={"amount": max(visit.deposit - visit.deposit_paid, 0) or ""})
    if request.method == "POST" and carried_out(form, lambda: _deposit(visit, by=request.user, **form.cleaned_data)):
        messages.success(request, "The deposit is written in the book.")
        return redirect("visit", number=number)
    return render(request, "jobs/deposit_add.html", {"visit": visit, "form": form}, status=status_of(form))


@money
@require_POST
def visit_collected(request: HttpRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    try:
        floor.collected(visit, by=request.user)
    except Refused as refused:
        messages.error(request, refused.sentence)
    return redirect("visit", number=number)


def _deposit(visit: Visit, *, amount: Decimal, how: str, by: Person) -> None:
    """With a minus in front it is given back."""
    if amount < 0:
        payments.give_deposit_back(visit, amount=-amount, how=how, by=by)
    else:
        payments.deposit(visit, amount=amount, how=how, by=by)


def _invoice(request: HttpRequest, found: Invoice, form: PaymentForm | None = None) -> HttpResponse:
    page = invoice_page(found)
    form = form or PaymentForm(initial={"amount": page.left})
    values = {"page": page, "form": form, "may_take": request.user.role != request.user.MECHANIC}
    return render(request, "jobs/invoice.html", values, status=status_of(form))


def paper_answer(found: Invoice) -> HttpResponse:
    """The paper as it was made and mailed; while it waits, or its file is lost, the same from the frozen rows."""
    paper, name = invoice_page(found).paper, invoice_file_name(found)
    if paper and paper.made_at and paper.file.storage.exists(paper.file.name):
        return FileResponse(paper.file.open(), filename=name, content_type="application/pdf")
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return HttpResponse(invoice_pdf(found), content_type="application/pdf", headers=headers)
