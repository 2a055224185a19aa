"""Personal links: shown and revoked by the workshop, requested again by whoever has a dead one."""

import io

import segno
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST, require_safe

from garage.changes.mail.links import ask_for_fresh, revoke, send_fresh
from garage.models.visits import Visit
from garage.output.addresses import sheet_address, visit_address
from garage.reads import access, links
from garage.views.answers import pressed
from garage.views.by_link import kept_private
from garage.views.doors import fresh, workshop
from garage.views.network_address import address_key
from garage.views.requests import PageRequest, WorkshopRequest


@workshop
@require_safe
def visit_link(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    shown = [
        {"purpose": purpose, "url": _address(visit, purpose), "lives": links.lives(visit, purpose, request.now)}
        for purpose in links.PURPOSES
    ]
    values = {"visit": visit, "links": shown, "run_out": links.has_run_out(visit, request.now)}
    answer = kept_private(render(request, "garage/link_of_visit.html", values))
    # No token in this address. Under no-referrer its forms would come from "null".
    answer["Referrer-Policy"] = "same-origin"
    return answer


@workshop
@require_safe
def visit_link_picture(request: WorkshopRequest, number: int, purpose: str) -> HttpResponse:
    """The link as a QR picture. The picture's own address holds no token."""
    visit = access.visit_for(request.user, number)
    if purpose not in links.PURPOSES:
        raise Http404
    picture = io.BytesIO()
    segno.make(_address(visit, purpose), error="m", micro=False).save(picture, kind="png", scale=6, border=4)
    return kept_private(HttpResponse(picture.getvalue(), content_type="image/png"))


@workshop
@fresh
@require_POST
def visit_link_revoke(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    return pressed(
        request,
        lambda: revoke(visit, by=request.user, now=request.now),
        then=redirect("visit-link", number=number),
        said="All earlier links are revoked. These are the new ones.",
    )


@workshop
@require_POST
def visit_link_send(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    return pressed(
        request,
        lambda: send_fresh(visit, by=request.user, now=request.now),
        then=redirect("visit-link", number=number),
        said="An email with the links is on its way. You can read it under Sent.",
    )


def _address(visit: Visit, purpose: str) -> str:
    address = {links.SHEET: sheet_address, links.VISIT: visit_address}[purpose]
    return address(links.token(visit, purpose))


@csrf_exempt
@require_POST
def fresh_link(request: PageRequest) -> HttpResponse:
    """Always the same answer, so that it reveals nothing about visits or addresses.

    csrf_exempt: no cookie gives authority here, and its page is no-referrer ("Origin: null").
    """
    ask_for_fresh(request.POST.get("token", ""), address_key=address_key(request), now=request.now)
    return kept_private(render(request, "garage/link_asked.html"))
