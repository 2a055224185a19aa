"""The guides, for anybody: the list, and a page each. One mailed to an owner, from the visit or by personal link."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from diagnostics.changes.guides import mail
from diagnostics.core.guides.guides import GUIDES, guide_at
from diagnostics.pages.guides import guide_shown
from diagnostics.reads.guides import allowed
from diagnostics.reads.rev_out import rev_out_of
from diagnostics.views.forms import GuideForm
from garage.models.actors import OWNER
from garage.models.visits import Visit
from garage.reads import access, links
from garage.views.answers import carried_out, posted, sentence_of, status_of
from garage.views.by_link import by_link
from garage.views.doors import workshop
from garage.views.requests import OwnerRequest, PageRequest, WorkshopRequest


@require_safe
def guides(request: PageRequest) -> HttpResponse:
    return render(request, "guides/guides.html", {"guides": GUIDES})


@require_safe
def guide(request: PageRequest, slug: str) -> HttpResponse:
    found = guide_at(slug)
    if found is None:
        raise Http404("No guide has that address.")
    page = guide_shown(found)
    return render(request, page.template, {"page": page, "guide": page.guide, "drawings": page.drawings})


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def visit_guides(request: WorkshopRequest, number: int) -> HttpResponse:
    """Two taps from the visit: here, and the guide."""
    visit, form = access.visit_for(request.user, number), GuideForm(posted(request))
    sent = carried_out(form, lambda: mail(visit, **form.cleaned_data, by=request.user, now=request.now))
    if sent:
        messages.success(request, f"“{sent.made.title}” is on its way to {visit.owner.name}.")
        return redirect(f"{reverse('visit', args=[number])}#messages")
    return render(request, "guides/visit_guides.html", _to_send(visit, form), status=status_of(form))


@by_link(links.VISIT)
@require_http_methods(["GET", "HEAD", "POST"])
def owner_guides(request: OwnerRequest, visit: Visit) -> HttpResponse:
    """The owner asks for one by email, to have it at the machine."""
    form = GuideForm(posted(request))
    sent = carried_out(form, lambda: mail(visit, **form.cleaned_data, by=OWNER, now=request.now))
    values = _to_send(visit, form) | {"token": request.link_token, "sent": sent.made if sent else None}
    return render(request, "guides/owner_guides.html", values, status=200 if sent else status_of(form))


def _to_send(visit: Visit, form: forms.Form) -> dict[str, object]:
    return {
        "visit": visit,
        "guides": allowed(GUIDES, why_no_rev_out=rev_out_of(visit).why_not),
        "trouble": sentence_of(form),
    }
