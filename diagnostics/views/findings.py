"""The workshop's page of findings and their judgement: entered, acted on, set aside."""

from __future__ import annotations

from datetime import datetime

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from diagnostics.changes import remarks, way_back
from diagnostics.changes.findings import record
from diagnostics.changes.judgements import act, act_otherwise, leave
from diagnostics.core.bank.bank import Question
from diagnostics.core.telling.remark_words import remark_words
from diagnostics.models.judgements import KeptJudgement
from diagnostics.models.sheets import Finding
from diagnostics.pages.findings import findings_page
from diagnostics.reads.access import judgement_of
from diagnostics.reads.bank import question_or_none
from diagnostics.views.forms import AnswerForm, LeaveForm, PutRightForm, RemarkForm, RouteForm
from garage.core import routes
from garage.core.errors import Showable
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads.access import visit_for
from garage.views.answers import carried_out, error_of, pressed
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest


@workshop
@require_safe
def findings(request: WorkshopRequest, number: int) -> HttpResponse:
    return _page(request, visit_for(request.user, number))


@workshop
@require_POST
def finding_record(request: WorkshopRequest, number: int, question: str) -> HttpResponse:
    visit, asked = visit_for(request.user, number), _asked(question)
    source = Finding.OWNER if request.POST.get("source") == Finding.OWNER else Finding.WORKSHOP
    form = AnswerForm(request.POST, question=asked)
    if carried_out(
        form,
        lambda: record(visit, question=question, source=source, by=request.user, now=request.now, **form.cleaned_data),
    ):
        messages.success(request, f"Written down: {asked.ask}")
        return _back_to(number, question)
    return _page_again(request, visit, form, at=question)


@workshop
@require_POST
def finding_right(request: WorkshopRequest, number: int, question: str) -> HttpResponse:
    visit, asked, form = visit_for(request.user, number), _asked(question), PutRightForm(request.POST)
    if carried_out(
        form,
        lambda: way_back.found_and_put_right(
            visit, question=question, by=request.user, now=request.now, **form.cleaned_data
        ),
    ):
        messages.success(request, f"Put right: {asked.ask}")
        return _back_to(number, question)
    return _page_again(request, visit, form, at=question)


@workshop
@require_POST
def finding_unright(request: WorkshopRequest, number: int, question: str) -> HttpResponse:
    visit = visit_for(request.user, number)
    return pressed(
        request,
        lambda: way_back.not_put_right(visit, question=question, by=request.user, now=request.now),
        then=_back_to(number, question),
    )


def _asked(question: str) -> Question:
    asked = question_or_none(question)
    if asked is None:
        raise Http404
    return asked


def _back_to(number: int, question: str) -> HttpResponse:
    return redirect(f"{reverse('findings', args=[number])}#{question}")


@workshop
@require_POST
def remark_told(request: WorkshopRequest, number: int) -> HttpResponse:
    """The owner tells by telephone what could have been ticked on the sheet."""
    visit, form = visit_for(request.user, number), RemarkForm(request.POST)
    if carried_out(
        form, lambda: remarks.told_by_telephone(visit, by=request.user, now=request.now, **form.cleaned_data)
    ):
        messages.success(request, f"Written down: {remark_words(form.cleaned_data['remark'])}.")
        return redirect("findings", number=number)
    return _page_again(request, visit, form)


@workshop
@require_POST
def remark_put_right(request: WorkshopRequest, number: int, remark: str) -> HttpResponse:
    visit, form = visit_for(request.user, number), PutRightForm(request.POST)
    if carried_out(
        form,
        lambda: remarks.put_right(visit, remark=remark, by=request.user, now=request.now, **form.cleaned_data),
    ):
        messages.success(request, f"{remark_words(remark)}: put right. It is judged again.")
        return redirect("findings", number=number)
    return _page_again(request, visit, form, typed_remark=remark, typed_words=request.POST.get("words", ""))


@workshop
@require_POST
def judgement_act(request: WorkshopRequest, number: int, judgement_id: int) -> HttpResponse:
    visit, form = visit_for(request.user, number), RouteForm(request.POST)
    kept = judgement_of(visit, judgement_id)
    if carried_out(form, lambda: _sent(kept, by=request.user, now=request.now, **form.cleaned_data)):
        route = form.cleaned_data["route"] or kept.route
        messages.success(request, f"Visit {number} is routed: {routes.WORDS[route]}.")
        return redirect("findings", number=number)
    return _page_again(request, visit, form)


@workshop
@require_POST
def judgement_leave(request: WorkshopRequest, number: int, judgement_id: int) -> HttpResponse:
    visit, form = visit_for(request.user, number), LeaveForm(request.POST)
    kept = judgement_of(visit, judgement_id)
    if carried_out(form, lambda: leave(kept, by=request.user, now=request.now, **form.cleaned_data)):
        messages.success(request, f"The judgement is set aside; visit {number} stays as it is.")
        return redirect("findings", number=number)
    return _page_again(request, visit, form)


def _sent(kept: KeptJudgement, *, route: str, why: str, by: Person, now: datetime) -> None:
    """Without a route of its own, the visit takes the judged route."""
    if route:
        act_otherwise(kept, route=route, why=why, by=by, now=now)
    else:
        act(kept, by=by, now=now)


def _page_again(request: WorkshopRequest, visit: Visit, form: forms.Form, *, at: str = "", **more: str) -> HttpResponse:
    """With what was typed. at: the question it belongs to."""
    typed: dict[str, str | list[str]] = {
        "typed": request.POST.getlist("answer"),
        "typed_why": request.POST.get("why", ""),
        "typed_route": request.POST.get("route", ""),
    }
    if at and "words" in request.POST:
        typed["typed_right"] = request.POST["words"]
    return _page(request, visit, error_of(form), at=at, **typed | more)


def _page(
    request: WorkshopRequest, visit: Visit, error: Showable | None = None, **typed: str | list[str]
) -> HttpResponse:
    shown = {"page": findings_page(visit, request.shop), "trouble": error.sentence if error else "", **typed}
    return render(request, "diagnostics/findings.html", shown, status=error.status if error else 200)
