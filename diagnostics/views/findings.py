"""The workshop's page of findings and their judgement: put down, act upon, set aside."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from diagnostics.changes import findings as changes
from diagnostics.changes import judgements
from diagnostics.models.sheets import Finding
from diagnostics.pages.findings import findings_page, judgement_of_visit
from diagnostics.reads.bank import question_or_none
from diagnostics.views.forms import read_given
from garage.core import routes
from garage.core.errors import BadInput, Refused, Showable
from garage.models.visits import Visit
from garage.reads import access
from garage.views.doors import workshop

STATUS = {BadInput: 422, Refused: 409}


@workshop
@require_safe
def findings(request: HttpRequest, number: int) -> HttpResponse:
    return _page(request, access.visit_for(request.user, number))


@workshop
@require_POST
def finding_record(request: HttpRequest, number: int, question: str) -> HttpResponse:
    visit, asked = access.visit_for(request.user, number), question_or_none(question)
    if asked is None:
        raise Http404
    source = Finding.OWNER if request.POST.get("source") == Finding.OWNER else Finding.WORKSHOP
    try:
        answer = read_given(asked, request.POST)
        changes.record(visit, question=question, answer=answer, source=source, by=request.user)
    except Showable as error:
        return _page(request, visit, error, at=question)
    messages.success(request, f"Written down: {asked.ask}")
    return redirect(f"{request.path.rsplit(question, 1)[0]}#{question}")


@workshop
@require_POST
def judgement_act(request: HttpRequest, number: int, judgement_id: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    kept = judgement_of_visit(visit, judgement_id)
    route = request.POST.get("route")
    try:
        if route:
            judgements.act_otherwise(kept, route=route, why=request.POST.get("why", ""), by=request.user)
        else:
            judgements.act(kept, by=request.user)
    except Showable as error:
        return _page(request, visit, error)
    messages.success(request, f"Visit {number} is routed: {routes.WORDS[route or kept.route]}.")
    return redirect("findings", number=number)


@workshop
@require_POST
def judgement_leave(request: HttpRequest, number: int, judgement_id: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    try:
        judgements.leave(judgement_of_visit(visit, judgement_id), by=request.user, why=request.POST.get("why", ""))
    except Showable as error:
        return _page(request, visit, error)
    messages.success(request, f"The judgement is set aside; visit {number} stays as it is.")
    return redirect("findings", number=number)


def _page(request: HttpRequest, visit: Visit, error: Showable | None = None, at: str = "") -> HttpResponse:
    """The page, with the sentence and what was typed where something stood in the way; at: the question it is about."""
    typed = {
        "typed": request.POST.getlist("answer"),
        "typed_why": request.POST.get("why", ""),
        "typed_route": request.POST.get("route", ""),
    }
    return findings_answer(request, visit, error, at=at, **typed)


def findings_answer(
    request: HttpRequest, visit: Visit, error: Showable | None = None, **typed: str | list[str]
) -> HttpResponse:
    """Reads nothing of what was sent: a file that is too large is left unread."""
    shown = {"page": findings_page(visit), "trouble": error.sentence if error else "", **typed}
    return render(request, "diagnostics/findings.html", shown, status=STATUS[type(error)] if error else 200)
