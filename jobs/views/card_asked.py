"""The owner is asked about more work, and what was heard on the telephone; an invoice that goes above it all."""

from __future__ import annotations

from functools import partial

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from garage.changes.visit import photos
from garage.models.visits import Visit
from garage.reads.access import visit_for
from garage.views.answers import carried_out, posted, status_of
from garage.views.body_limits import takes_a_file
from garage.views.doors import money, workshop
from garage.views.requests import WorkshopRequest
from jobs.changes import consents
from jobs.models.consents import Consent
from jobs.pages.asked import above_page, ask_page, asked_shown
from jobs.reads.consents import asked_or_404
from jobs.views.forms_asked import AboveForm, AskForm, PhoneAnswerForm
from jobs.views.forms_money import carried_out_once


@takes_a_file(photos.LARGEST_BYTES)
@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def card_ask(request: WorkshopRequest, number: int) -> HttpResponse:
    return _asking(request, visit_for(request.user, number), None)


@takes_a_file(photos.LARGEST_BYTES)
@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def card_ask_again(request: WorkshopRequest, number: int, consent_id: int) -> HttpResponse:
    """At another price, in place of one that is still open."""
    visit = visit_for(request.user, number)
    return _asking(request, visit, asked_or_404(visit, consent_id))


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def card_asked(request: WorkshopRequest, number: int, consent_id: int) -> HttpResponse:
    """As the owner was shown it. POST: what was said on the telephone."""
    visit = visit_for(request.user, number)
    consent = asked_or_404(visit, consent_id)
    form = PhoneAnswerForm(posted(request), by=request.user, now=request.now)

    def heard() -> None:
        consents.answer_by_phone(consent, **form.cleaned_data, by=request.user, now=request.now)

    if carried_out(form, heard):
        return _to_the_card(number)
    values = {"visit": visit, "shown": asked_shown(consent), "form": form}
    return render(request, "jobs/card_asked.html", values, status=status_of(form))


@money
@require_http_methods(["GET", "HEAD", "POST"])
def invoice_above(request: WorkshopRequest, number: int) -> HttpResponse:
    """Somebody lets the invoice come to more than was agreed, and says why."""
    visit, form = visit_for(request.user, number), AboveForm(posted(request))
    was_held = {"yes": True, "no": False}.get(request.GET.get("held", ""))
    if carried_out_once(request, form, visit, partial(consents.let_through, visit, was_held=was_held)):
        messages.success(request, "Written in the trail. The invoice may come to that now.")
        return redirect("invoice-issue", number=number)
    values = {"page": above_page(visit, request.shop, was_held=was_held), "form": form}
    return render(request, "jobs/invoice_above.html", values, status=status_of(form))


def _asking(request: WorkshopRequest, visit: Visit, replaces: Consent | None) -> HttpResponse:
    page = ask_page(visit, request.shop, replaces=replaces, now=request.now)
    form = AskForm(posted(request), request.FILES, of=page.photos, initial=_first_values(replaces))
    change = partial(consents.ask_anew, replaces) if replaces else partial(consents.ask, visit)
    if carried_out_once(request, form, visit, change):
        messages.success(request, "The owner is asked, by mail. Wait with it until there is a yes.")
        return _to_the_card(visit.number)
    chosen = {int(one) for one in form["photos"].value() or () if str(one).isdecimal()}
    values = {"page": page, "form": form, "chosen": chosen}
    return render(request, "jobs/card_ask.html", values, status=status_of(form))


def _first_values(replaces: Consent | None) -> dict[str, object]:
    if replaces is None:
        return {}
    chosen = [one["id"] for one in replaces.photos]
    return {"words": replaces.words, "price": replaces.price, "photos": chosen}


def _to_the_card(number: int) -> HttpResponse:
    return redirect(f"{reverse('card', args=[number])}#asked")
