"""By personal link an owner asks for an earlier time and answers an offer; the workshop reads who stands by."""

from __future__ import annotations

from datetime import datetime

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from garage.changes.visit import going_on, offers
from garage.changes.visit.standby import ask, no_longer
from garage.models.actors import OWNER, Actor
from garage.models.standby import Offer
from garage.models.visits import Visit
from garage.pages.standby import owner_offer_page, owner_standby_page, standby_page, visit_standby_page
from garage.reads import access, links
from garage.views.answers import carried_out, posted, pressed, sentence_of, status_of
from garage.views.by_link import by_link
from garage.views.doors import workshop
from garage.views.requests import OwnerRequest, WorkshopRequest
from garage.views.visits.forms_standby import OfferForm, StandbyForm


@workshop
@require_safe
def standby(request: WorkshopRequest) -> HttpResponse:
    return render(request, "garage/standby.html", {"page": standby_page()})


@by_link(links.VISIT)
@require_http_methods(["GET", "HEAD", "POST"])
def owner_standby(request: OwnerRequest, visit: Visit) -> HttpResponse:
    """POST with the button "off" ends it; any other asks for it, or changes what was asked."""
    page = owner_standby_page(visit)
    form = StandbyForm(posted(request), initial=StandbyForm.values_of(page.row))
    if carried_out(form, lambda: _asked(visit, form, OWNER, request.now)):
        return redirect("owner-visit", token=request.link_token)
    values = {"page": page, "form": form, "token": request.link_token}
    return render(request, "garage/owner_standby.html", values, status=status_of(form))


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def visit_standby(request: WorkshopRequest, number: int) -> HttpResponse:
    """As the owner's own page, for one who rings."""
    visit = access.visit_for(request.user, number)
    page = visit_standby_page(visit, now=request.now)
    form = StandbyForm(posted(request), initial=StandbyForm.values_of(page.row))
    if carried_out(form, lambda: _asked(visit, form, request.user, request.now)):
        return redirect("visit", number=number)
    return render(request, "garage/visit_standby.html", {"page": page, "form": form}, status=status_of(form))


@workshop
@require_POST
def visit_offer(request: WorkshopRequest, number: int, offer_id: int) -> HttpResponse:
    """What the owner answered on the telephone."""
    offer, form = access.offer_or_404(access.visit_for(request.user, number), offer_id), OfferForm(request.POST)
    if carried_out(form, lambda: _answered(offer, form, request.user, request.now)):
        return redirect("visit", number=number)
    messages.error(request, sentence_of(form))
    return redirect("visit-standby", number=number)


def _asked(visit: Visit, form: StandbyForm, by: Actor, now: datetime) -> object:
    if form.is_off:
        return no_longer(visit, by=by, now=now)
    return ask(visit, by=by, now=now, **form.asked())


def _answered(offer: Offer, form: OfferForm, by: Actor, now: datetime) -> object:
    return (offers.accept if form.is_yes else offers.decline)(offer, by=by, now=now)


@by_link(links.VISIT)
@require_http_methods(["GET", "HEAD", "POST"])
def owner_offer(request: OwnerRequest, visit: Visit, offer_id: int) -> HttpResponse:
    """Looking takes nothing: a mail reader follows links too."""
    offer, form = access.offer_or_404(visit, offer_id), OfferForm(posted(request))
    if carried_out(form, lambda: _answered(offer, form, OWNER, request.now)):
        return redirect("owner-visit", token=request.link_token)
    page = owner_offer_page(offer, now=request.now)
    values = {"page": page, "token": request.link_token, "trouble": sentence_of(form)}
    return render(request, "garage/owner_offer.html", values, status=status_of(form))


@by_link(links.VISIT)
@require_POST
def owner_go_on(request: OwnerRequest, visit: Visit) -> HttpResponse:
    """Left with us, it may go on the rollers when they come free. The button "off" takes that back."""
    then = redirect(f"{reverse('owner-visit', args=[request.link_token])}#go-on")
    return pressed(request, lambda: _went_on(request, visit, OWNER), then=then)


@workshop
@require_POST
def visit_go_on(request: WorkshopRequest, number: int) -> HttpResponse:
    """As the owner says on the telephone."""
    visit = access.visit_for(request.user, number)
    return pressed(
        request, lambda: _went_on(request, visit, request.user), then=redirect("visit-standby", number=number)
    )


def _went_on(request: OwnerRequest | WorkshopRequest, visit: Visit, by: Actor) -> object:
    return (going_on.take_back if "off" in request.POST else going_on.agree)(visit, by=by, now=request.now)
