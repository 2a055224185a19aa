"""The day on a screen on the wall: for whoever is logged in, or behind the wall's secret address.

Without a script the browser loads the page anew, by its Refresh header. With one it goes on at once to the live page,
which has no such header: its part comes anew, and stays as it is while the server does not answer. So it is never both.
"""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST, require_safe
from django.views.decorators.vary import vary_on_headers
from django_htmx.http import HttpResponseClientRedirect

from garage.changes.shop import secret_links
from garage.pages.wall import wall_of
from garage.reads.secret_links import opens_the_wall
from garage.views.answers import pressed
from garage.views.by_link import dead_link, kept_private
from garage.views.doors import boss, fresh, workshop
from garage.views.requests import ShopRequest, WorkshopRequest

ANEW_AFTER_S = 60  # s, as in templates/garage/wall.html with a script. Common practice, no source


@workshop
@require_safe
@vary_on_headers("HX-Request")
def wall(request: WorkshopRequest) -> HttpResponse:
    return _wall(request)


@csrf_exempt
def wall_by_link(request: ShopRequest, token: str) -> HttpResponse:
    """csrf_exempt: a dead address answers alike by every method."""
    return kept_private(_safe_wall(request) if opens_the_wall(token, request.shop) else dead_link(request, token))


@boss
@fresh
@require_POST
def shop_wall(request: WorkshopRequest) -> HttpResponse:
    return pressed(
        request,
        lambda: secret_links.change_wall(by=request.user, now=request.now),
        then=redirect("shop-stations"),
        said="The wall has a new address. The old one is dead: open the new one on the screen.",
    )


@require_safe
@vary_on_headers("HX-Request")
def _safe_wall(request: ShopRequest) -> HttpResponse:
    return _wall(request)


def _wall(request: ShopRequest) -> HttpResponse:
    is_live, fragment = "live" in request.GET, "#wall" if request.htmx else ""
    if request.htmx and not is_live:
        return HttpResponseClientRedirect(f"{request.path}?live")
    values = {"wall": wall_of(request.shop, now=request.now), "is_live": is_live}
    answer = render(request, f"garage/wall.html{fragment}", values)
    if not is_live:
        answer["Refresh"] = str(ANEW_AFTER_S)
    return answer
