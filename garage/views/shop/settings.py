"""The shop: the garage's own settings, opening hours and days that differ, for the boss."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from garage.changes.shop.kept_free import keep_free
from garage.changes.shop.shop import change_settings, close_day, close_days, forget_closed_days, set_opening
from garage.pages.backups import backups_seen
from garage.pages.guard import guard_shown
from garage.reads.access import closed_day_or_404
from garage.reads.opening import coming_between
from garage.reads.shop import closed_days, closed_with, kept_free, opening, the_shop, trail
from garage.views.answers import carried_out, posted, pressed, status_of
from garage.views.doors import boss, fresh
from garage.views.requests import WorkshopRequest, today
from garage.views.shop.forms import SHOP_PARTS, ClosedDayForm, ShopForm
from garage.views.shop.forms_hours import KeptFreeForm, OpeningForm


@boss
@fresh
@require_http_methods(["GET", "HEAD", "POST"])
def shop(request: WorkshopRequest) -> HttpResponse:
    form = ShopForm(posted(request), instance=the_shop())
    if carried_out(form, lambda: change_settings(by=request.user, now=request.now, **form.cleaned_data)):
        messages.success(request, "Saved.")
        return redirect("shop")
    parts = [{"title": title, "fields": [form[name] for name in names]} for title, names in SHOP_PARTS.items()]
    guard = None if form.is_bound else guard_shown(request.shop, now=request.now)
    backups = backups_seen(now=request.now)
    values = {"form": form, "parts": parts, "guard": guard, "trail": trail(), "backups": backups}
    return render(request, "garage/shop.html", values, status=status_of(form))


@boss
@fresh
@require_http_methods(["GET", "HEAD", "POST"])
def shop_hours(request: WorkshopRequest) -> HttpResponse:
    form = OpeningForm(posted(request), initial=OpeningForm.values_of(opening()))
    if carried_out(form, lambda: set_opening(form.hours(), by=request.user, now=request.now)):
        messages.success(request, "The opening hours are saved. Visits booked already stay where they are.")
        return redirect("shop-hours")
    return render(request, "garage/shop_hours.html", {"form": form}, status=status_of(form))


@boss
@fresh
@require_http_methods(["GET", "HEAD", "POST"])
def shop_kept_free(request: WorkshopRequest) -> HttpResponse:
    form = KeptFreeForm(posted(request), initial=KeptFreeForm.values_of(kept_free()))
    if carried_out(form, lambda: keep_free(form.rules(), by=request.user, now=request.now)):
        messages.success(request, "Saved. What is sold already stays sold.")
        return redirect("shop-kept-free")
    return render(request, "garage/shop_kept_free.html", {"form": form}, status=status_of(form))


@boss
@fresh
@require_http_methods(["GET", "HEAD", "POST"])
def shop_days(request: WorkshopRequest) -> HttpResponse:
    form = ClosedDayForm(posted(request))
    if carried_out(form, lambda: _close(request, form)):
        messages.success(request, " ".join(["It is on the list.", *_booked_then(request, form)]))
        return redirect("shop-days")
    values = {"form": form, "days": closed_days(today(request))}
    return render(request, "garage/shop_days.html", values, status=status_of(form))


@boss
@fresh
@require_POST
def shop_day_forget(request: WorkshopRequest, day_id: int) -> HttpResponse:
    """With the days around it that were closed for the same reason."""
    day = closed_day_or_404(day_id, since=today(request))
    rows = closed_with(day, today(request))
    return pressed(
        request, lambda: forget_closed_days(rows, by=request.user, now=request.now), then=redirect("shop-days")
    )


def _booked_then(request: WorkshopRequest, form: ClosedDayForm) -> list[str]:
    """They keep their times: a person moves them. Nothing where a holiday is worked."""
    given = form.cleaned_data
    if given["open_after_all"]:
        return []
    first = given["day"]
    numbers = coming_between(first, given["last_day"] or first, request.shop.local_time)
    if not numbers:
        return ["No visit is booked then."]
    which = "visit" if len(numbers) == 1 else "visits"
    return [f"Booked then, and to be moved by hand: {which} {', '.join(numbers)}."]


def _close(request: WorkshopRequest, form: ClosedDayForm) -> None:
    given = dict(form.cleaned_data)
    last = given.pop("last_day")
    if last:
        close_days(first=given["day"], last=last, why=given["why"], by=request.user, now=request.now)
    else:
        close_day(**given, by=request.user, now=request.now)
