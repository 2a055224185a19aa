"""By personal link an owner reads an estimate, and says yes or no to it, once."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from garage.models.visits import Visit
from garage.reads import links
from garage.views.answers import carried_out, posted, sentence_of, status_of
from garage.views.by_link import by_link
from garage.views.requests import OwnerRequest
from jobs.changes import estimate_answers
from jobs.pages.estimate import estimate_page
from jobs.reads.estimates import issued_or_404
from jobs.views.estimates import estimate_answer
from jobs.views.forms_asked import OwnerAnswerForm


@by_link(links.VISIT)
@require_http_methods(["GET", "HEAD", "POST"])
def owner_estimate(request: OwnerRequest, visit: Visit, estimate_id: int) -> HttpResponse:
    """Looking answers nothing: a mail reader follows links too."""
    found, form = issued_or_404(visit, estimate_id), OwnerAnswerForm(posted(request))
    if carried_out(form, lambda: estimate_answers.answer_by_owner(found, **form.cleaned_data, now=request.now)):
        return redirect("owner-estimate", token=request.link_token, estimate_id=estimate_id)
    now_is = issued_or_404(visit, estimate_id) if form.is_bound else found  # somebody may have been quicker
    page = estimate_page(now_is, request.shop, now=request.now)
    values = {"page": page, "visit": visit, "token": request.link_token, "trouble": sentence_of(form)}
    return render(request, "jobs/owner_estimate.html", values, status=status_of(form))


@by_link(links.VISIT)
@require_safe
def owner_estimate_pdf(request: OwnerRequest, visit: Visit, estimate_id: int) -> HttpResponse:
    return estimate_answer(issued_or_404(visit, estimate_id))
