"""The bench part of the card: one tap records an outcome and updates list, chances and causes."""

from collections.abc import Callable

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST
from django.views.decorators.vary import vary_on_headers

from diagnostics.core.bench.outcomes import GOOD
from diagnostics.reads.access import cause_of, outcome_of
from garage.models.visits import Visit
from garage.reads.access import visit_for
from garage.views.answers import pressed
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest
from jobs.changes import cards
from jobs.views.card import card_values


@workshop
@require_POST
@vary_on_headers("HX-Request")
def card_outcome(request: WorkshopRequest, number: int, step: str) -> HttpResponse:
    """fault: the one found; empty if the step found nothing wrong."""
    visit, fault = visit_for(request.user, number), request.POST.get("fault", GOOD)
    if fault == GOOD:
        return _tapped(
            request, visit, lambda: cards.step_good(visit, step=step, by=request.user, now=request.now), "Written down."
        )
    return _tapped(
        request,
        visit,
        lambda: cards.step_was_it(visit, step=step, fault=fault, by=request.user, now=request.now),
        "Written down.",
    )


@workshop
@require_POST
@vary_on_headers("HX-Request")
def card_outcome_back(request: WorkshopRequest, number: int, outcome_id: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    outcome = outcome_of(visit, outcome_id)
    return _tapped(request, visit, lambda: cards.step_back(outcome, by=request.user, now=request.now), "Taken back.")


@workshop
@require_POST
@vary_on_headers("HX-Request")
def card_cause_withdraw(request: WorkshopRequest, number: int, cause_id: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    cause = cause_of(visit, cause_id)
    return _tapped(request, visit, lambda: cards.withdraw(cause, by=request.user, now=request.now), "Withdrawn.")


def _tapped(request: WorkshopRequest, visit: Visit, change: Callable[[], object], done: str) -> HttpResponse:
    """Redirects to the card. With htmx, returns its bench part with what was done or why not."""

    def bench(trouble: str) -> HttpResponse:
        values = card_values(request, visit, trouble=trouble) | {"oob": True, "said": "" if trouble else done}
        return render(request, "jobs/card.html#bench", values)

    then = redirect(f"{reverse('card', args=[visit.number])}#bench")
    return pressed(request, change, then=then, fragment=bench)
