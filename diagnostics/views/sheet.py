"""The owner's check sheet: one question a page, the list of all, sending it, and what came of it."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from diagnostics.changes import sheets
from diagnostics.core.bank.bank import Question
from diagnostics.core.judging.evidence import REV_OUT
from diagnostics.hearing.pages.owner_clip import has_sent_clips
from diagnostics.pages.outcome import outcome_page
from diagnostics.pages.sheet import goes_on_at, question_page, sheet_page
from diagnostics.reads.bank import question_or_none
from diagnostics.reads.filled_sheet import FilledSheet
from diagnostics.views.forms import read_given
from garage.core.errors import BadInput, Refused, Showable
from garage.models.visits import Visit
from garage.views.by_link import by_link

STATUS = {BadInput: 422, Refused: 409}


@by_link("sheet")
@require_safe
def sheet(request: HttpRequest, visit: Visit) -> HttpResponse:
    return render(
        request,
        "diagnostics/sheet.html",
        {"page": sheet_page(visit), "token": request.link_token, "has_clips": has_sent_clips(visit)},
    )


@by_link("sheet")
@require_http_methods(["GET", "HEAD", "POST"])
def sheet_question(request: HttpRequest, visit: Visit, question: str) -> HttpResponse:
    asked = question_or_none(question)
    if asked is None:
        raise Http404
    if request.method != "POST":
        return _show(request, visit, asked)
    try:
        filled = _answered(request, visit, asked)
    except Showable as error:
        return _show(request, visit, asked, error)
    return _go_on(request, filled, asked)


@by_link("sheet")
@require_http_methods(["GET", "HEAD", "POST"])
def sheet_send(request: HttpRequest, visit: Visit) -> HttpResponse:
    trouble, status = "", 200
    if request.method == "POST":
        try:
            sheets.send(visit)
            return redirect("sheet-outcome", token=request.link_token)
        except Refused as refused:
            trouble, status = refused.sentence, 409
    shown = {"page": sheet_page(visit), "token": request.link_token, "trouble": trouble}
    return render(request, "diagnostics/sheet_send.html", shown, status=status)


@by_link("sheet")
@require_safe
def sheet_outcome(request: HttpRequest, visit: Visit) -> HttpResponse:
    page = outcome_page(visit)
    if page is None:
        return redirect("sheet", token=request.link_token)
    return render(
        request,
        "diagnostics/sheet_outcome.html",
        {"page": page, "token": request.link_token, "has_clips": has_sent_clips(visit)},
    )


def _answered(request: HttpRequest, visit: Visit, question: Question) -> FilledSheet:
    if question.id == REV_OUT:
        given, ticks = request.POST.get("answer", ""), request.POST.getlist("tick")
        return sheets.answer_rev_out(visit, given=given, ticks=ticks)
    return sheets.answer(visit, question=question.id, given=read_given(question, request.POST))


def _go_on(request: HttpRequest, filled: FilledSheet, question: Question) -> HttpResponse:
    """At the rev-out page again where a tick was sent, at the list if the answer came from there, else at what
    follows."""
    token = request.link_token
    if question.id == REV_OUT and request.POST.getlist("tick"):
        return redirect("sheet-question", token=token, question=question.id)
    following = None if request.POST.get("from") == "list" else goes_on_at(filled, question.id)
    if following is None:
        return redirect("sheet", token=token)
    return redirect("sheet-question", token=token, question=following)


def _show(request: HttpRequest, visit: Visit, question: Question, error: Showable | None = None) -> HttpResponse:
    """The page, again with the sentence and with what was picked or typed where something stood in the way."""
    page = question_page(visit, question)
    if page is None:
        raise Http404
    if page.ask_first:
        return redirect("sheet-question", token=request.link_token, question=page.ask_first)
    shown = {
        "page": page,
        "token": request.link_token,
        "trouble": error.sentence if error else "",
        "from_list": "list" in (request.GET.get("from"), request.POST.get("from")),
        "typed": request.POST.getlist("answer"),
        "has_clips": page.is_rev_out and has_sent_clips(page.visit),
        "typed_ticks": request.POST.getlist("tick"),
    }
    return render(request, "diagnostics/sheet_question.html", shown, status=STATUS[type(error)] if error else 200)
