"""Benches and rollers, for the boss."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from garage.changes.shop import stations
from garage.models.shop import Station
from garage.output.addresses import feed_address, wall_address
from garage.reads.access import station_or_404
from garage.reads.secret_links import feed_token, wall_token
from garage.reads.shop import every_station
from garage.views.answers import carried_out, posted, pressed, status_of
from garage.views.doors import boss, fresh
from garage.views.requests import WorkshopRequest
from garage.views.shop.forms import StationForm, StationNameForm


@boss
@fresh
@require_http_methods(["GET", "HEAD", "POST"])
def shop_stations(request: WorkshopRequest) -> HttpResponse:
    form = StationForm(posted(request))
    if carried_out(form, lambda: stations.add(by=request.user, now=request.now, **form.cleaned_data)):
        return redirect("shop-stations")
    return _page(request, form, new=form)


@boss
@fresh
@require_POST
def shop_station_rename(request: WorkshopRequest, station_id: int) -> HttpResponse:
    station, form = station_or_404(station_id), StationNameForm(request.POST)
    if carried_out(form, lambda: stations.rename(station, by=request.user, now=request.now, **form.cleaned_data)):
        return redirect("shop-stations")
    return _page(request, form, new=StationForm(), renamed=station)


@boss
@fresh
@require_POST
def shop_station_remove(request: WorkshopRequest, station_id: int) -> HttpResponse:
    station, then = station_or_404(station_id), redirect("shop-stations")
    said = f"{station.name} is removed."
    return pressed(request, lambda: stations.remove(station, by=request.user, now=request.now), then=then, said=said)


def _page(
    request: WorkshopRequest,
    form: StationForm | StationNameForm,
    *,
    new: StationForm,
    renamed: Station | None = None,
) -> HttpResponse:
    """The list with each station's calendar, and any message about one of them above it. The one that was renamed keeps
    what was typed.
    """
    typed = form.data.get("name", "")
    lines = [
        (station, typed if station == renamed else station.name, feed_address(feed_token(station)))
        for station in every_station()
    ]
    values = {"form": form, "new": new, "lines": lines, "wall_address": wall_address(wall_token(request.shop))}
    return render(request, "garage/shop_stations.html", values, status=status_of(form))
