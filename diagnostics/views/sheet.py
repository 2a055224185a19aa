"""The owner's check sheet: one question a page, the list of all, sending it, and the outcome."""

from __future__ import annotations

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from diagnostics.changes import sheets
from diagnostics.core.bank.bank import Question
from diagnostics.core.judging.evidence import REV_OUT
from diagnostics.hearing.reads.heard import has_sent_clips
from diagnostics.pages.outcome import outcome_page
from diagnostics.pages.sheet import goes_on_at, question_page, sheet_page
from diagnostics.reads.bank import question_or_none
from diagnostics.reads.filled_sheet import FilledSheet
from diagnostics.views.forms import AnswerForm, RevOutForm
from garage.changes.mail.telling import opened_by_owner
from garage.models.visits import Visit
from garage.views.answers import carried_out, posted, sentence_of, status_of
from garage.views.by_link import by_link
from garage.views.cannot_save import if_it_can_be_saved
from garage.views.requests import OwnerRequest


@by_link("sheet")
@require_safe
def sheet(request: OwnerRequest, visit: Visit) -> HttpResponse:
    values = {"page": sheet_page(visit), "token": request.link_token, "has_clips": has_sent_clips(visit)}
    return render(request, "diagnostics/sheet.html", values)


@by_link("sheet")
@require_http_methods(["GET", "HEAD", "POST"])
def sheet_question(request: OwnerRequest, visit: Visit, question: str) -> HttpResponse:
    asked = question_or_none(question)
    if asked is None:
        raise Http404
    return _rev_out(request, visit, asked) if asked.id == REV_OUT else _question(request, visit, asked)


@by_link("sheet")
@require_http_methods(["GET", "HEAD", "POST"])
def sheet_send(request: OwnerRequest, visit: Visit) -> HttpResponse:
    form = forms.Form(posted(request))
    if carried_out(form, lambda: sheets.send(visit, now=request.now)):
        return redirect("sheet-outcome", token=request.link_token)
    values = {"page": sheet_page(visit), "token": request.link_token, "trouble": sentence_of(form)}
    return render(request, "diagnostics/sheet_send.html", values, status=status_of(form))


@by_link("sheet")
@require_safe
def sheet_outcome(request: OwnerRequest, visit: Visit) -> HttpResponse:
    page = outcome_page(visit, request.shop)
    if page is None:
        return redirect("sheet", token=request.link_token)
    if request.method == "GET":
        with if_it_can_be_saved():
            opened_by_owner(visit, now=request.now)
    values = {"page": page, "token": request.link_token, "has_clips": has_sent_clips(visit)}
    return render(request, "diagnostics/sheet_outcome.html", values)


def _question(request: OwnerRequest, visit: Visit, asked: Question) -> HttpResponse:
    form = AnswerForm(posted(request), question=asked)
    answered = carried_out(form, lambda: sheets.answer(visit, question=asked.id, now=request.now, **form.told()))
    return _goes_on(request, answered.made, asked) if answered else _show(request, visit, asked, form)


def _rev_out(request: OwnerRequest, visit: Visit, asked: Question) -> HttpResponse:
    """If a tick rules the test out, the page is shown again and says so."""
    form = RevOutForm(posted(request))
    answered = carried_out(form, lambda: sheets.answer_rev_out(visit, **form.told(), now=request.now))
    if answered is None:
        return _show(request, visit, asked, form)
    if form.cleaned_data["tick"] and answered.made.why_not:
        return redirect("sheet-question", token=request.link_token, question=asked.id)
    return _goes_on(request, answered.made, asked)


def _goes_on(request: OwnerRequest, filled: FilledSheet, asked: Question) -> HttpResponse:
    """Back to the list if the owner came from there, otherwise to the next question."""
    following = None if request.POST.get("from") == "list" else goes_on_at(filled, asked.id)
    if following is None:
        return redirect("sheet", token=request.link_token)
    return redirect("sheet-question", token=request.link_token, question=following)


def _show(request: OwnerRequest, visit: Visit, asked: Question, form: forms.Form) -> HttpResponse:
    """The page; after an error, with the sentence and whatever was picked or typed."""
    page = question_page(visit, asked)
    if page is None:
        raise Http404
    if page.ask_first:
        return redirect("sheet-question", token=request.link_token, question=page.ask_first)
    values = {
        "page": page,
        "token": request.link_token,
        "trouble": sentence_of(form),
        "from_list": "list" in (request.GET.get("from"), request.POST.get("from")),
        "typed": request.POST.getlist("answer"),
        "has_clips": page.is_rev_out and has_sent_clips(page.visit),
        "typed_ticks": request.POST.getlist("tick"),
    }
    return render(request, "diagnostics/sheet_question.html", values, status=status_of(form))
