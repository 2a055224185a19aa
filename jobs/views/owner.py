"""The owner's own page of a visit, by personal link: how it stands, move it, call it off, the invoice."""

from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from garage.changes import visits
from garage.core.errors import Refused
from garage.models.visits import Visit
from garage.reads import free, links
from garage.reads.arrival import arrive_at
from garage.views.by_link import by_link
from jobs.pages.owner import may_not_call_off, may_not_move, owner_page
from jobs.reads.access import invoice_of_owner
from jobs.views.invoice import paper_answer

DAYS_SHOWN = 7


@by_link(links.VISIT)
@require_safe
def owner_visit(request: HttpRequest, visit: Visit) -> HttpResponse:
    page = owner_page(visit, request.shop, arrive_at=arrive_at(visit))
    return render(request, "jobs/owner_visit.html", {"page": page, "token": request.link_token})


@by_link(links.VISIT)
@require_http_methods(["GET", "HEAD", "POST"])
def owner_call_off(request: HttpRequest, visit: Visit) -> HttpResponse:
    why, trouble = request.POST.get("why", "")[:200], may_not_call_off(visit, request.shop)
    if request.method == "POST" and not trouble:
        try:
            visits.call_off_by_owner(visit, why=why)
            return redirect("owner-visit", token=request.link_token)
        except Refused as refused:
            trouble = refused.sentence
    values = {"visit": visit, "token": request.link_token, "trouble": trouble, "why": why}
    return render(
        request, "jobs/owner_call_off.html", values, status=409 if trouble and request.method == "POST" else 200
    )


@by_link(links.VISIT)
@require_http_methods(["GET", "HEAD", "POST"])
def owner_move(request: HttpRequest, visit: Visit) -> HttpResponse:
    trouble = may_not_move(visit, request.shop)
    if request.method == "POST" and not trouble:
        try:
            visits.move_by_owner(visit, starts_at=_instant(request.POST.get("starts_at", "")))
            return redirect("owner-visit", token=request.link_token)
        except Refused as refused:
            trouble = refused.sentence
    values = {"visit": visit, "token": request.link_token, "trouble": trouble, "days": _free(request, visit)}
    return render(request, "jobs/owner_move.html", values, status=409 if trouble and request.method == "POST" else 200)


@by_link(links.VISIT)
@require_safe
def owner_invoice(request: HttpRequest, visit: Visit) -> HttpResponse:
    return paper_answer(invoice_of_owner(visit))


def _free(request: HttpRequest, visit: Visit) -> list[free.FreeDay]:
    if may_not_move(visit, request.shop):
        return []
    asked = free.asked_by_owner(visit, request.shop)
    return free.free_days(asked, count=DAYS_SHOWN)


def _instant(text: str) -> datetime:
    """The time of the button that was pressed; anything else is no time of ours."""
    try:
        at = datetime.fromisoformat(text)
    except ValueError as trouble:
        raise Refused("Choose one of the times below.") from trouble
    return at if timezone.is_aware(at) else timezone.make_aware(at, timezone.get_current_timezone())
