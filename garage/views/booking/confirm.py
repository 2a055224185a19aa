"""An owner confirms an online booking by the mailed link. Opening it changes nothing: mail scanners follow links."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from garage.changes.visit import confirming
from garage.core import states
from garage.models.visits import Visit
from garage.reads import links
from garage.reads.online_bookings import unconfirmed_of
from garage.views.answers import carried_out, posted, sentence_of, status_of
from garage.views.booking.forms import ConfirmForm
from garage.views.booking.times import nearest
from garage.views.by_link import by_link
from garage.views.requests import OwnerRequest


@by_link(links.CONFIRM)
@require_http_methods(["GET", "HEAD", "POST"])
def owner_confirm(request: OwnerRequest, visit: Visit) -> HttpResponse:
    form = ConfirmForm(posted(request))
    if visit.state not in states.UNPROVEN or carried_out(
        form, lambda: confirming.confirm_by_owner(visit, **form.cleaned_data, now=request.now)
    ):
        return redirect("owner-visit", token=links.token(visit, links.VISIT))
    held = unconfirmed_of(visit)
    values = {
        "visit": visit,
        "held": held,
        "is_held": held is not None and held.visit.state == states.HELD,
        "trouble": sentence_of(form),
        "near": nearest(form, now=request.now),
    }
    return render(request, "garage/owner_confirm.html", values, status=status_of(form))
