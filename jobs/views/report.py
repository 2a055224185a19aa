"""The report on a visit: for its owner by personal link, and for whoever prints it at the desk."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse
from django.views.decorators.http import require_safe

from garage.models.visits import Visit
from garage.output.pdf import pdf
from garage.output.speaking import speaking
from garage.reads import links
from garage.reads.access import visit_for
from garage.views.by_link import by_link
from garage.views.doors import workshop
from garage.views.requests import OwnerRequest, ShopRequest, WorkshopRequest
from jobs.pages.report import visit_report
from jobs.pages.run_picture import ON_PAGE
from jobs.pages.runs import curve_on_paper
from jobs.reads.access import closed_card_of
from jobs.views.runs import picture_answer


@workshop
@require_safe
def visit_report_pdf(request: WorkshopRequest, number: int) -> HttpResponse:
    return _paper(request, visit_for(request.user, number))


@by_link(links.VISIT)
@require_safe
def owner_report(request: OwnerRequest, visit: Visit) -> HttpResponse:
    report, token = visit_report(visit), request.link_token
    curve = reverse("owner-curve", args=[token]) if report.shown.picture else ""
    return render(request, "jobs/owner_report.html", {"report": report, "curve": curve, "token": token})


@by_link(links.VISIT)
@require_safe
def owner_report_pdf(request: OwnerRequest, visit: Visit) -> HttpResponse:
    return _paper(request, visit)


@by_link(links.VISIT)
@require_safe
def owner_curve(request: OwnerRequest, visit: Visit) -> HttpResponse:
    closed_card_of(visit)
    return picture_answer(visit, ON_PAGE)


def _paper(request: ShopRequest, visit: Visit) -> HttpResponse:
    """In its owner's language, whoever prints it."""
    with speaking(visit.owner.language):
        report = visit_report(visit)
        values = {"report": report, "shop": request.shop, "curve": curve_on_paper(report.shown)}
        paper = pdf(render_to_string("papers/report.html", values))
    headers = {"Content-Disposition": f'inline; filename="report-{visit.number}.pdf"'}
    return HttpResponse(paper, content_type="application/pdf", headers=headers)
