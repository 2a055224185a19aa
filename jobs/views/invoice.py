"""Invoices and the till: preview, issue, the paper, payments, deposits, collected."""

from datetime import datetime
from decimal import Decimal
from functools import partial

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from garage.changes.visit import floor
from garage.core import states
from garage.core.currencies import in_currency, tax_on_paper
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads.access import visit_for
from garage.views.answers import posted, pressed, status_of
from garage.views.doors import money, workshop
from garage.views.requests import WorkshopRequest
from jobs.changes import counter_sales, credit_notes, hand_lines, invoices, payments
from jobs.core.billing.invoice import SIMPLIFIED_LIMIT
from jobs.core.documents.ubl import ubl
from jobs.models.book import Invoice
from jobs.pages.buyers import sought_buyers
from jobs.pages.invoice import invoice_page
from jobs.pages.invoice_issue import issue_page
from jobs.papers.invoice import invoice_file_name, invoice_pdf
from jobs.reads.access import hand_line_of, invoice_numbered, invoice_of, notes_on
from jobs.reads.book import creditable
from jobs.reads.documents import document_of
from jobs.reads.papers import kept_paper
from jobs.views.forms_money import (
    CounterForm,
    CreditLinesForm,
    DepositForm,
    HandLineForm,
    IssueForm,
    PaymentForm,
    carried_out_once,
)


@money
@require_http_methods(["GET", "HEAD", "POST"])
def invoice_issue(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    if done := invoice_of(visit):
        return redirect("invoice", number=done.number)
    form, is_meant = IssueForm(posted(request)), request.POST.get("do") == "issue"
    is_issued = is_meant and carried_out_once(request, form, visit, partial(invoices.issue, visit))
    if is_issued and (done := invoice_of(visit)):
        messages.success(request, "Issued. The PDF is made and mailed now.")
        return redirect("invoice", number=done.number)
    return _to_issue(request, visit, form)


@money
@require_POST
def hand_line_add(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    form = HandLineForm(request.POST, is_registered=bool(request.shop.vat_number))
    if carried_out_once(request, form, visit, partial(hand_lines.add, visit)):
        return redirect("invoice-issue", number=number)
    return _to_issue(request, visit, IssueForm(), form)


@money
@require_POST
def hand_line_strike(request: WorkshopRequest, number: int, line_id: int) -> HttpResponse:
    line, then = hand_line_of(visit_for(request.user, number), line_id), redirect("invoice-issue", number=number)
    return pressed(request, lambda: hand_lines.strike(line, by=request.user, now=request.now), then=then)


@money
@require_http_methods(["GET", "HEAD", "POST"])
def counter_sale(request: WorkshopRequest) -> HttpResponse:
    is_registered, looks_up = bool(request.shop.vat_number), request.POST.get("do") == "find"
    if looks_up:
        form = CounterForm(None, is_registered=is_registered, initial=request.POST.dict())
    else:
        form = CounterForm(posted(request), is_registered=is_registered)
    if carried_out_once(request, form, None, counter_sales.sell):
        messages.success(request, "Sold: it is in the book.")
        return redirect("the-book")
    values = {"form": form, "limit": SIMPLIFIED_LIMIT, "sought": sought_buyers(request.POST) if request.POST else None}
    return render(request, "jobs/counter_sale.html", values, status=status_of(form))


@workshop
@require_safe
def invoice(request: WorkshopRequest, number: int) -> HttpResponse:
    return _invoice(request, invoice_numbered(number))


@workshop
@require_safe
def invoice_pdf_of(request: WorkshopRequest, number: int) -> HttpResponse:
    return paper_answer(invoice_numbered(number))


@workshop
@require_safe
def invoice_ubl(request: WorkshopRequest, number: int) -> HttpResponse:
    """For the bookkeeper's program. The PDF has the same inside, in the other syntax."""
    found = invoice_numbered(number)
    document = document_of(found)
    if document is None:
        messages.error(request, "Past the time that the law asks for: whom it was written to is gone.")
        return redirect("invoice", number=number)
    headers = {"Content-Disposition": f'attachment; filename="{invoice_file_name(found, "xml")}"'}
    return HttpResponse(ubl(document), content_type="application/xml", headers=headers)


@money
@require_POST
def payment_add(request: WorkshopRequest, number: int) -> HttpResponse:
    found, form = invoice_numbered(number), PaymentForm(request.POST)
    if carried_out_once(request, form, found.visit, partial(payments.take, found)):
        messages.success(request, "Written in the book.")
        return redirect("invoice", number=number)
    return _invoice(request, found, form)


@money
@require_http_methods(["GET", "HEAD", "POST"])
def invoice_credit(request: WorkshopRequest, number: int) -> HttpResponse:
    """Of the paper of a kept deposit there is a page of its own."""
    found = invoice_numbered(number)
    if hasattr(found, "kept_deposit"):
        return redirect("credit-note-issue", number=number)
    form = CreditLinesForm(posted(request), lines=creditable(found))
    if carried_out_once(request, form, found.visit, partial(credit_notes.credit, found)):
        messages.success(request, "Credited: it is in the book. Its credit note is made and mailed.")
        return redirect("invoice", number=notes_on(found)[-1].invoice.number)
    values = {"page": invoice_page(found), "form": form}
    return render(request, "jobs/invoice_credit.html", values, status=status_of(form))


@money
@require_http_methods(["GET", "HEAD", "POST"])
def deposit_add(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    is_over = visit.state in states.OVER
    amount = -visit.deposit_paid if is_over else max(visit.deposit - visit.deposit_paid, 0)
    form = DepositForm(posted(request), initial={"amount": amount or ""})
    if carried_out_once(request, form, visit, partial(_deposit, visit)):
        messages.success(request, "The deposit is written in the book.")
        return redirect("visit", number=number)
    return render(request, "jobs/deposit_add.html", {"visit": visit, "form": form}, status=status_of(form))


@money
@require_POST
def visit_collected(request: WorkshopRequest, number: int) -> HttpResponse:
    visit, then = visit_for(request.user, number), redirect("visit", number=number)
    return pressed(request, lambda: floor.collected(visit, by=request.user, now=request.now), then=then)


def _to_issue(
    request: WorkshopRequest, visit: Visit, form: IssueForm, line_form: HandLineForm | None = None
) -> HttpResponse:
    page = issue_page(visit, request.shop, was_held=form.cleaned_data["was_held"] if form.is_valid() else None)
    form = form if form.is_bound else IssueForm(initial=page.first_values)
    values = {"page": page, "form": form, "is_line_open": line_form is not None, "limit": SIMPLIFIED_LIMIT}
    values["line_form"] = line_form or HandLineForm(is_registered=page.draft.is_registered)
    return render(request, "jobs/invoice_issue.html", values, status=status_of(line_form or form))


def _deposit(visit: Visit, *, amount: Decimal, how: str, by: Person, now: datetime) -> None:
    """A negative amount is a refund."""
    if amount < 0:
        payments.give_deposit_back(visit, amount=-amount, how=how, by=by, now=now)
    else:
        payments.deposit(visit, amount=amount, how=how, by=by, now=now)


def _invoice(request: WorkshopRequest, found: Invoice, form: PaymentForm | None = None) -> HttpResponse:
    page = invoice_page(found)
    form = form or PaymentForm(initial={"amount": page.left})
    values = {"page": page, "form": form, "may_take": request.user.handles_money and not page.credit}
    with in_currency(found.currency, tax_on_paper(found.seller)):  # which the shop may have changed since
        return render(request, "jobs/invoice.html", values, status=status_of(form))


def paper_answer(found: Invoice) -> HttpResponse:
    """The PDF as mailed. If it is not made yet or its file is lost, the same PDF made from the frozen rows."""
    headers = {"Content-Disposition": f'inline; filename="{invoice_file_name(found)}"'}
    return HttpResponse(kept_paper(found) or invoice_pdf(found), content_type="application/pdf", headers=headers)
