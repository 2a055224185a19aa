"""A new garage: the boss's first log-in by the code from the terminal, one short page each, and the opening."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from garage.changes.shop import setting_up
from garage.changes.shop.begin import begin_with_code
from garage.core.selling.setting_up import BeginPage, next_page, page_before
from garage.models.shop import BENCH, ROLLER
from garage.pages.setting_up import TITLES, setting_up_page
from garage.reads.people import everybody, hours_of
from garage.reads.setting_up import is_empty, roller_kind
from garage.reads.shop import every_station, opening, the_shop
from garage.views.answers import carried_out, posted, pressed, status_of
from garage.views.beginning.forms import FirstLogInForm, GarageForm, MoneyForm, PlacesForm, SessionForm, WorkerForm
from garage.views.coming_in import comes_in
from garage.views.doors import boss
from garage.views.network_address import address_key, browser_of
from garage.views.requests import PageRequest, WorkshopRequest

TYPED = "setting-up"  # in the session: what was typed on a page and not saved, by page
LEFT = ("back", "later")  # the buttons that leave a page without saving it

AnyForm = Any  # one of the forms of this folder


@dataclass(frozen=True)
class Asking:
    """A page: its form with what is kept or suggested, the change behind it, and what its template also shows."""

    form: Callable[[WorkshopRequest, QueryDict | None, dict[str, Any]], AnyForm]
    change: Callable[[WorkshopRequest, AnyForm], object]
    shows: Callable[[], dict[str, object]] = dict


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def begin(request: PageRequest) -> HttpResponse:
    """Only while there is no boss."""
    if not is_empty():
        raise Http404
    form = FirstLogInForm(posted(request), initial={"username": "boss"})
    if made := carried_out(form, lambda: _begin(request, form)):
        comes_in(request, made.made)
        return redirect("begin-page", page=next(iter(BeginPage)).value)
    return render(request, "garage/begin.html", {"form": form}, status=status_of(form))


@boss
@require_http_methods(["GET", "HEAD", "POST"])
def begin_page(request: WorkshopRequest, page: str) -> HttpResponse:
    here = _page_or_404(page)
    if request.shop.is_open:
        return redirect("begin-open")
    asking = ASKED[here]
    if any(button in request.POST for button in LEFT):
        return _left(request, here, asking)
    form = asking.form(request, posted(request), _typed(request).get(page, {}))
    if carried_out(form, lambda: asking.change(request, form)):
        _keep_typed(request, here, None)
        then = next_page(here)
        return redirect("begin-page", page=then.value) if then else redirect("begin-open")
    values = {
        "form": form,
        "page": here.value,
        "title": TITLES[here],
        "number": list(BeginPage).index(here) + 1,
        "count": len(BeginPage),
        "before": page_before(here),
    }
    return render(request, "garage/begin_page.html", values | asking.shows(), status=status_of(form))


@boss
@require_http_methods(["GET", "HEAD", "POST"])
def begin_open(request: WorkshopRequest) -> HttpResponse:
    """What is still missing; then the first roller time that can be sold, and the button that opens the garage."""
    if request.method == "POST":
        return pressed(
            request,
            lambda: setting_up.open_garage(by=request.user, now=request.now),
            then=redirect("begin-open"),
            said="Everybody can see it and book now.",
        )
    values = {"page": setting_up_page(request.shop, now=request.now), "typed": list(_typed(request))}
    return render(request, "garage/begin_open.html", values)


def _begin(request: PageRequest, form: FirstLogInForm) -> Any:
    given = dict(form.cleaned_data)
    del given["again"]
    code, password = given.pop("code"), given.pop("password")
    who = {"address_key": address_key(request), "browser": browser_of(request)}
    return begin_with_code(code, password=password, now=request.now, does_rollers=True, **who, **given)


def _page_or_404(page: str) -> BeginPage:
    try:
        return BeginPage(page)
    except ValueError:
        raise Http404 from None


def _left(request: WorkshopRequest, here: BeginPage, asking: Asking) -> HttpResponse:
    """What was typed is kept for the next time, right or wrong."""
    form = asking.form(request, request.POST, {})
    _keep_typed(request, here, {name: form[name].value() for name in form.fields})
    before = page_before(here)
    if "back" in request.POST and before:
        return redirect("begin-page", page=before.value)
    messages.info(request, "Go on whenever you like. What you typed is kept as long as you are logged in here.")
    return redirect("begin-open")


def _typed(request: WorkshopRequest) -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = request.session.get(TYPED, {})
    return found


def _keep_typed(request: WorkshopRequest, here: BeginPage, typed: dict[str, Any] | None) -> None:
    kept = {page: values for page, values in _typed(request).items() if page != here.value}
    request.session[TYPED] = kept | ({here.value: typed} if typed else {})


def _garage_form(request: WorkshopRequest, sent: QueryDict | None, typed: dict[str, Any]) -> GarageForm:
    return GarageForm(sent, instance=the_shop(), initial=dict(typed))


def _places_form(request: WorkshopRequest, sent: QueryDict | None, typed: dict[str, Any]) -> PlacesForm:
    counts = [sum(station.kind == kind for station in every_station()) for kind in (ROLLER, BENCH)]
    return PlacesForm(sent, initial=PlacesForm.suggested(opening(), *counts) | typed)


def _worker_form(request: WorkshopRequest, sent: QueryDict | None, typed: dict[str, Any]) -> WorkerForm:
    suggested = WorkerForm.suggested(request.user, hours_of(request.user), opening())
    return WorkerForm(sent, initial=suggested | typed)


def _session_form(request: WorkshopRequest, sent: QueryDict | None, typed: dict[str, Any]) -> SessionForm:
    kind = roller_kind()
    return SessionForm(sent, instance=kind, initial=SessionForm.suggested(kind) | typed)


def _money_form(request: WorkshopRequest, sent: QueryDict | None, typed: dict[str, Any]) -> MoneyForm:
    shop = the_shop()
    return MoneyForm(sent, instance=shop, initial={"labour_per_hour": shop.labour_per_hour or None} | typed)


def _set_places(request: WorkshopRequest, form: PlacesForm) -> None:
    counts = {name: form.cleaned_data[name] for name in ("rollers", "benches")}
    setting_up.set_places(form.hours(), by=request.user, now=request.now, **counts)


def _set_worker(request: WorkshopRequest, form: WorkerForm) -> None:
    skills = {name: form.cleaned_data[name] for name in ("does_bench", "does_rollers")}
    setting_up.set_worker(request.user, form.hours(), by=request.user, now=request.now, **skills)


ASKED = {
    BeginPage.GARAGE: Asking(
        _garage_form,
        lambda request, form: setting_up.say_garage(by=request.user, now=request.now, **form.cleaned_data),
    ),
    BeginPage.STATIONS: Asking(_places_form, _set_places),
    BeginPage.PEOPLE: Asking(_worker_form, _set_worker, lambda: {"people": everybody()}),
    BeginPage.SESSION: Asking(
        _session_form,
        lambda request, form: setting_up.set_session(by=request.user, now=request.now, **form.cleaned_data),
    ),
    BeginPage.MONEY: Asking(
        _money_form,
        lambda request, form: setting_up.say_money(by=request.user, now=request.now, **form.cleaned_data),
    ),
}
