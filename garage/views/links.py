"""Personal links: shown and revoked by the workshop, asked for anew by whoever has a dead one."""

import io

import segno
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST, require_safe

from garage.changes import links as link_changes
from garage.reads import access, links
from garage.views.addresses import address_key
from garage.views.by_link import kept_private
from garage.views.doors import workshop


@workshop
@require_safe
def visit_link(request: HttpRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    now = timezone.now()
    shown = [
        {"purpose": purpose, "url": links.url(visit, purpose), "lives": links.lives(visit, purpose, now)}
        for purpose in links.PURPOSES
    ]
    answer = kept_private(render(request, "garage/link_of_visit.html", {"visit": visit, "links": shown}))
    answer["Referrer-Policy"] = "same-origin"  # no token in this address; else its forms would come from "null"
    return answer


@workshop
@require_safe
def visit_link_picture(request: HttpRequest, number: int, purpose: str) -> HttpResponse:
    """The link as a QR picture; the address of the picture holds no token."""
    visit = access.visit_for(request.user, number)
    if purpose not in links.PURPOSES:
        raise Http404
    picture = io.BytesIO()
    segno.make(links.url(visit, purpose), error="m", micro=False).save(picture, kind="png", scale=6, border=4)
    return kept_private(HttpResponse(picture.getvalue(), content_type="image/png"))


@workshop
@require_POST
def visit_link_revoke(request: HttpRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    link_changes.revoke(visit, by=request.user)
    messages.success(request, "All links given so far are dead. These are the new ones.")
    return redirect("visit-link", number=number)


@workshop
@require_POST
def visit_link_send(request: HttpRequest, number: int) -> HttpResponse:
    link_changes.send_fresh(access.visit_for(request.user, number), by=request.user)
    messages.success(request, "A mail with the links is on its way; it stands on the sent page.")
    return redirect("visit-link", number=number)


@csrf_exempt
@require_POST
def fresh_link(request: HttpRequest) -> HttpResponse:
    """The same answer always: it does not tell whether there is such a visit or address.

    csrf_exempt: no cookie counts here, and the page it is sent from is no-referrer ("Origin: null").
    """
    link_changes.ask_for_fresh(request.POST.get("token", ""), address_key=address_key(request))
    return kept_private(render(request, "garage/link_asked.html"))
