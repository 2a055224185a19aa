"""Estimates: drafted by lines, issued, answered on the telephone, withdrawn, turned into lines of card and invoice."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from garage.reads.access import visit_for
from garage.views.answers import carried_out, posted, pressed, sentence_of, status_of
from garage.views.doors import money, workshop
from garage.views.requests import WorkshopRequest
from jobs.changes import estimate_answers, estimates
from jobs.models.estimates import Estimate
from jobs.pages.estimate import draft_page, estimate_page
from jobs.papers.estimate import estimate_file_name, estimate_pdf
from jobs.reads.access import machine_numbered
from jobs.reads.estimates import estimate_or_404
from jobs.views.forms_asked import PhoneAnswerForm
from jobs.views.forms_estimates import EstimateForm
from jobs.views.forms_money import carried_out_once


@money
@require_POST
def visit_estimate(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    change = partial(estimates.begin, visit, by=request.user, now=request.now)
    return _begun(request, change, redirect("visit", number=number))


@money
@require_POST
def machine_estimate(request: WorkshopRequest, machine_id: int) -> HttpResponse:
    machine = machine_numbered(machine_id)
    change = partial(estimates.begin_before_a_visit, machine, by=request.user, now=request.now)
    return _begun(request, change, redirect("machine", machine_id=machine.pk))


@money
@require_http_methods(["GET", "HEAD", "POST"])
def estimate_draft(request: WorkshopRequest, estimate_id: int) -> HttpResponse:
    draft = estimate_or_404(estimate_id)
    if draft.issued_at:
        return redirect("estimate", estimate_id=estimate_id)
    form, is_meant = EstimateForm(posted(request), draft=draft, shop=request.shop), request.POST.get("do") == "issue"
    change = partial(estimates.issue if is_meant else estimates.keep, draft)
    if carried_out_once(request, form, draft.visit, change):
        if is_meant:
            messages.success(request, "Issued and mailed. It waits for the owner’s answer.")
        return redirect("estimate" if is_meant else "estimate-draft", estimate_id=estimate_id)
    values = {"page": draft_page(draft, request.shop), "form": form}
    return render(request, "jobs/estimate_draft.html", values, status=status_of(form))


@money
@require_POST
def estimate_line_strike(request: WorkshopRequest, estimate_id: int, key: str) -> HttpResponse:
    draft, then = estimate_or_404(estimate_id), redirect("estimate-draft", estimate_id=estimate_id)
    return pressed(request, lambda: estimates.strike(draft, key=key, by=request.user, now=request.now), then=then)


@money
@require_POST
def estimate_discard(request: WorkshopRequest, estimate_id: int) -> HttpResponse:
    draft = estimate_or_404(estimate_id)
    change = partial(estimates.discard, draft, by=request.user, now=request.now)
    return pressed(request, change, then=_back(draft), said="The draft is thrown away.")


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def estimate(request: WorkshopRequest, estimate_id: int) -> HttpResponse:
    """As its owner reads it. POST: what was said on the telephone."""
    found = estimate_or_404(estimate_id)
    if found.issued_at is None:
        return redirect("estimate-draft", estimate_id=estimate_id)
    form = PhoneAnswerForm(posted(request), by=request.user, now=request.now)

    def heard() -> None:
        estimate_answers.answer_by_phone(found, **form.cleaned_data, by=request.user, now=request.now)

    if carried_out(form, heard):
        return redirect("estimate", estimate_id=estimate_id)
    now_is = estimate_or_404(estimate_id) if form.is_bound else found  # somebody may have been quicker
    page = estimate_page(now_is, request.shop, now=request.now)
    values = {"page": page, "form": form, "may_take": request.user.handles_money}
    return render(request, "jobs/estimate.html", values, status=status_of(form))


@workshop
@require_safe
def estimate_pdf_of(request: WorkshopRequest, estimate_id: int) -> HttpResponse:
    found = estimate_or_404(estimate_id)
    return estimate_answer(found) if found.issued_at else redirect("estimate-draft", estimate_id=estimate_id)


@money
@require_POST
def estimate_withdraw(request: WorkshopRequest, estimate_id: int) -> HttpResponse:
    found, then = estimate_or_404(estimate_id), redirect("estimate", estimate_id=estimate_id)
    change = partial(estimates.withdraw, found, by=request.user, now=request.now)
    return pressed(request, change, then=then, said="Withdrawn. Its owner can say neither yes nor no to it any more.")


@money
@require_POST
def estimate_take_over(request: WorkshopRequest, estimate_id: int) -> HttpResponse:
    found, then = estimate_or_404(estimate_id), redirect("estimate", estimate_id=estimate_id)

    def taken_over() -> None:
        ordered = estimate_answers.take_over(found, by=request.user, now=request.now)
        said = "Parts are on the card, all other lines on the invoice to be."
        not_there = f" Not in stock, so put down as ordered: {', '.join(ordered)}." if ordered else ""
        messages.success(request, said + not_there)

    return pressed(request, taken_over, then=then)


@money
@require_POST
def estimate_use(request: WorkshopRequest, number: int, estimate_id: int) -> HttpResponse:
    """One that was made before any visit is put to this one."""
    visit, found = visit_for(request.user, number), estimate_or_404(estimate_id)
    change = partial(estimate_answers.use_for, found, visit, by=request.user, now=request.now)
    return pressed(request, change, then=redirect("visit", number=number), said=f"{found.title} is for this visit now.")


def estimate_answer(found: Estimate) -> HttpResponse:
    headers = {"Content-Disposition": f'inline; filename="{estimate_file_name(found)}"'}
    return HttpResponse(estimate_pdf(found), content_type="application/pdf", headers=headers)


def _begun(request: WorkshopRequest, change: Callable[[], Estimate], refused: HttpResponse) -> HttpResponse:
    form = forms.Form(request.POST)
    if begun := carried_out(form, change):
        return redirect("estimate-draft", estimate_id=begun.made.pk)
    messages.error(request, sentence_of(form))
    return refused


def _back(draft: Estimate) -> HttpResponse:
    if draft.visit:
        return redirect("visit", number=draft.visit.number)
    return redirect("machine", machine_id=draft.machine_id)
