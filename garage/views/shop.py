"""The shop: the garage's own settings, for the boss."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from garage.changes import kinds, stations
from garage.changes import shop as changes
from garage.reads import clock
from garage.reads import shop as reads
from garage.views.answers import carried_out, status_of
from garage.views.doors import boss
from garage.views.forms_shop import (
    SHOP_PARTS,
    ClosedDayForm,
    MachineKindForm,
    OpeningForm,
    ShopForm,
    StationForm,
    StationNameForm,
    VisitKindForm,
)

page = require_http_methods(["GET", "HEAD", "POST"])


@boss
@page
def shop(request: HttpRequest) -> HttpResponse:
    form = ShopForm(request.POST or None, instance=reads.the_shop())
    if carried_out(form, lambda: changes.change_settings(by=request.user, **form.cleaned_data)):
        messages.success(request, "Saved.")
        return redirect("shop")
    parts = [{"title": title, "fields": [form[name] for name in names]} for title, names in SHOP_PARTS.items()]
    context = {"form": form, "parts": parts, "trail": reads.trail()}
    return render(request, "garage/shop.html", context, status=status_of(form))


@boss
@page
def shop_hours(request: HttpRequest) -> HttpResponse:
    kept = reads.opening()
    initial = {f"opens_{day}": row.opens for day, row in kept.items()}
    initial |= {f"closes_{day}": row.closes for day, row in kept.items()}
    form = OpeningForm(request.POST or None, initial=initial)
    if carried_out(form, lambda: changes.set_opening(form.hours(), by=request.user)):
        messages.success(request, "The opening hours are saved. Visits booked already stay where they are.")
        return redirect("shop-hours")
    return render(request, "garage/shop_hours.html", {"form": form}, status=status_of(form))


@boss
@page
def shop_days(request: HttpRequest) -> HttpResponse:
    form = ClosedDayForm(request.POST or None)
    if carried_out(form, lambda: changes.close_day(by=request.user, **form.cleaned_data)):
        messages.success(request, "The day is on the list. Visits booked on it already stay there: move them by hand.")
        return redirect("shop-days")
    days = reads.closed_days(clock.today())
    return render(request, "garage/shop_days.html", {"form": form, "days": days}, status=status_of(form))


@boss
@require_POST
def shop_day_forget(request: HttpRequest, day_id: int) -> HttpResponse:
    changes.forget_closed_day(get_object_or_404(reads.closed_days(clock.today()), pk=day_id), by=request.user)
    return redirect("shop-days")


@boss
@page
def shop_stations(request: HttpRequest) -> HttpResponse:
    form = StationForm(request.POST or None)
    if carried_out(form, lambda: stations.add(by=request.user, **form.cleaned_data)):
        return redirect("shop-stations")
    return _stations(request, form)


@boss
@require_POST
def shop_station_rename(request: HttpRequest, station_id: int) -> HttpResponse:
    station = get_object_or_404(reads.stations(), pk=station_id)
    form = StationNameForm(request.POST)
    if carried_out(form, lambda: stations.rename(station, by=request.user, **form.cleaned_data)):
        return redirect("shop-stations")
    return _stations(request, form)


@boss
@require_POST
def shop_station_remove(request: HttpRequest, station_id: int) -> HttpResponse:
    station = get_object_or_404(reads.stations(), pk=station_id)
    form = StationNameForm({"name": station.name})
    if carried_out(form, lambda: stations.remove(station, by=request.user)):
        messages.success(request, f"{station.name} is removed.")
        return redirect("shop-stations")
    return _stations(request, form)


@boss
@page
def shop_kinds(request: HttpRequest) -> HttpResponse:
    form = VisitKindForm(request.POST or None)
    if carried_out(form, lambda: kinds.add_visit_kind(by=request.user, **form.cleaned_data)):
        return redirect("shop-kinds")
    context = {"form": form, "kinds": reads.visit_kinds()}
    return render(request, "garage/shop_kinds.html", context, status=status_of(form))


@boss
@page
def shop_kind(request: HttpRequest, kind_id: int) -> HttpResponse:
    kind = get_object_or_404(reads.visit_kinds(), pk=kind_id)
    form = VisitKindForm(request.POST or None, instance=kind)
    if carried_out(form, lambda: kinds.change_visit_kind(kind, by=request.user, **form.cleaned_data)):
        messages.success(request, "Saved. Visits booked already keep what was agreed.")
        return redirect("shop-kinds")
    context = {"form": form, "title": "Visit kind", "back": "shop-kinds"}
    return render(request, "garage/shop_one.html", context, status=status_of(form))


@boss
@page
def shop_machine_kinds(request: HttpRequest) -> HttpResponse:
    form = MachineKindForm(request.POST or None)
    if carried_out(form, lambda: kinds.add_machine_kind(by=request.user, **form.cleaned_data)):
        return redirect("shop-machine-kinds")
    context = {"form": form, "kinds": reads.machine_kinds()}
    return render(request, "garage/shop_machine_kinds.html", context, status=status_of(form))


@boss
@page
def shop_machine_kind(request: HttpRequest, kind_id: int) -> HttpResponse:
    kind = get_object_or_404(reads.machine_kinds(), pk=kind_id)
    form = MachineKindForm(request.POST or None, instance=kind)
    if carried_out(form, lambda: kinds.change_machine_kind(kind, by=request.user, **form.cleaned_data)):
        messages.success(request, "Saved.")
        return redirect("shop-machine-kinds")
    context = {"form": form, "title": "Machine kind", "back": "shop-machine-kinds"}
    return render(request, "garage/shop_one.html", context, status=status_of(form))


def _stations(request: HttpRequest, form: StationForm | StationNameForm) -> HttpResponse:
    """The list; a sentence about one station stands above it."""
    new = form if isinstance(form, StationForm) else StationForm()
    context = {"form": form, "new": new, "stations": reads.stations()}
    return render(request, "garage/shop_stations.html", context, status=status_of(form))
