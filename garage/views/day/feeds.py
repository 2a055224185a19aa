"""Calendars behind their secret address, and the buttons that change one."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.cache import get_conditional_response
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST, require_safe

from garage.changes.shop import secret_links
from garage.models.people import Person
from garage.models.shop import Station
from garage.output.ical import FEED_TYPE
from garage.pages.feed import feed_of
from garage.reads.access import station_or_404
from garage.reads.secret_links import whose_feed
from garage.views.answers import pressed
from garage.views.by_link import dead_link, kept_private
from garage.views.doors import boss, fresh, workshop
from garage.views.requests import ShopRequest, WorkshopRequest


@csrf_exempt
def feed(request: ShopRequest, token: str) -> HttpResponse:
    """csrf_exempt: a dead address answers alike by every method."""
    whose = whose_feed(token)
    return kept_private(dead_link(request, token)) if whose is None else _calendar(request, whose)


@require_safe
def _calendar(request: ShopRequest, whose: Person | Station) -> HttpResponse:
    """The tag is a weak one: the same work is told with the time at which it was planned anew."""
    read = feed_of(whose, request.shop, now=request.now)
    tag = f'W/"{read.tag}"'
    answer = get_conditional_response(request, etag=tag) or HttpResponse(read.file(), content_type=FEED_TYPE)
    kept_private(answer)
    answer["ETag"], answer["Cache-Control"] = tag, "private, no-cache"
    return answer


@workshop
@fresh
@require_POST
def account_feed(request: WorkshopRequest) -> HttpResponse:
    return pressed(
        request,
        lambda: secret_links.change_own_feed(request.user, now=request.now),
        then=redirect("account"),
        said="Your calendar has a new address. The old one is dead: put the new one into your calendar.",
    )


@boss
@fresh
@require_POST
def shop_station_feed(request: WorkshopRequest, station_id: int) -> HttpResponse:
    station = station_or_404(station_id)
    return pressed(
        request,
        lambda: secret_links.change_station_feed(station, by=request.user, now=request.now),
        then=redirect("shop-stations"),
        said=f"The calendar of {station.name} has a new address. The old one is dead.",
    )
