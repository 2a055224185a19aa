"""The owner's page of a visit, by personal link: its state, moving it, calling it off, the invoice."""

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from garage.changes.mail.telling import opened_by_owner
from garage.changes.visit import visits
from garage.core.selling.own_changes import is_late
from garage.models.visits import Visit
from garage.reads import links
from garage.reads.free import asked_by_owner
from garage.views.answers import carried_out, posted, sentence_of, status_of
from garage.views.booking.forms import TimeForm
from garage.views.booking.times import times_shown
from garage.views.by_link import by_link
from garage.views.cannot_save import if_it_can_be_saved
from garage.views.requests import OwnerRequest
from jobs.pages.owner import may_not_call_off, may_not_move, owner_page
from jobs.reads.access import credit_note_of_owner, invoice_of_owner
from jobs.views.forms import CallOffForm
from jobs.views.invoice import paper_answer

DAYS_SHOWN = 7


@by_link(links.VISIT)
@require_safe
def owner_visit(request: OwnerRequest, visit: Visit) -> HttpResponse:
    page = owner_page(visit, request.shop, now=request.now)
    if request.method == "GET":  # a mail scanner that only asks for the head has read nothing
        with if_it_can_be_saved():
            opened_by_owner(visit, now=request.now)
    return render(request, "jobs/owner_visit.html", {"page": page, "token": request.link_token})


@by_link(links.VISIT)
@require_http_methods(["GET", "HEAD", "POST"])
def owner_call_off(request: OwnerRequest, visit: Visit) -> HttpResponse:
    form = CallOffForm(posted(request))
    if carried_out(form, lambda: visits.call_off_by_owner(visit, **form.cleaned_data, now=request.now)):
        return redirect("owner-visit", token=request.link_token)
    values = {
        "visit": visit,
        "token": request.link_token,
        "trouble": sentence_of(form) or may_not_call_off(visit, request.shop),
        "why": form.data.get("why", ""),
        "is_asked_again": "why" in form.errors,
        "is_late": visit.starts_at is not None and is_late(visit.starts_at, request.now, request.shop.late_hours),
    }
    return render(request, "jobs/owner_call_off.html", values, status=status_of(form))


@by_link(links.VISIT)
@require_http_methods(["GET", "HEAD", "POST"])
def owner_move(request: OwnerRequest, visit: Visit) -> HttpResponse:
    form, may_not = TimeForm(posted(request)), may_not_move(visit, request.shop, now=request.now)
    if carried_out(form, lambda: visits.move_by_owner(visit, **form.cleaned_data, now=request.now)):
        return redirect("owner-visit", token=request.link_token)
    values: dict[str, object] = {"visit": visit, "token": request.link_token}
    asked = None if may_not else asked_by_owner(visit, request.shop)
    values |= times_shown(request, asked, form, days_shown=DAYS_SHOWN)
    values["trouble"] = sentence_of(form) or may_not
    return render(request, "jobs/owner_move.html", values, status=status_of(form))


@by_link(links.VISIT)
@require_safe
def owner_invoice(request: OwnerRequest, visit: Visit) -> HttpResponseBase:
    return paper_answer(invoice_of_owner(visit))


@by_link(links.VISIT)
@require_safe
def owner_credit_note(request: OwnerRequest, visit: Visit, number: int) -> HttpResponseBase:
    return paper_answer(credit_note_of_owner(visit, number))
