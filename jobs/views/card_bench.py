"""The bench on the card, one tap an outcome: list, chances and causes change at once."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST
from django.views.decorators.vary import vary_on_headers

from diagnostics.core.bench.outcomes import GOOD
from garage.core.errors import BadInput, Refused, Showable
from garage.models.visits import Visit
from garage.reads.access import visit_for
from garage.views.doors import workshop
from jobs.changes import cards
from jobs.reads import access
from jobs.views.card import card_values

STATUS = {BadInput: 422, Refused: 409}


@workshop
@require_POST
@vary_on_headers("HX-Request")
def card_outcome(request: HttpRequest, number: int, step: str) -> HttpResponse:
    """fault: what it was; empty: found good."""
    visit, fault = visit_for(request.user, number), request.POST.get("fault", GOOD)
    if fault == GOOD:
        return _tapped(request, visit, lambda: cards.step_good(visit, step=step, by=request.user), "Written down.")
    return _tapped(
        request, visit, lambda: cards.step_was_it(visit, step=step, fault=fault, by=request.user), "Written down."
    )


@workshop
@require_POST
@vary_on_headers("HX-Request")
def card_outcome_back(request: HttpRequest, number: int, outcome_id: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    outcome = access.outcome_of(visit, outcome_id)
    return _tapped(request, visit, lambda: cards.step_back(outcome, by=request.user), "Taken back.")


@workshop
@require_POST
@vary_on_headers("HX-Request")
def card_cause_withdraw(request: HttpRequest, number: int, cause_id: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    cause = access.cause_of(visit, cause_id)
    return _tapped(request, visit, lambda: cards.withdraw(cause, by=request.user), "Withdrawn.")


def _tapped(request: HttpRequest, visit: Visit, change: Callable[[], object], said: str) -> HttpResponse:
    """The card again, or with htmx its part of the bench and what was done; or the sentence what stood in the way."""
    trouble, status = "", 200
    try:
        change()
    except Showable as error:
        trouble, status = error.sentence, STATUS[type(error)]
    if not trouble and not request.htmx:
        return redirect("card", number=visit.number)
    values = card_values(request, visit, trouble=trouble)
    if request.htmx:
        return render(
            request, "jobs/card.html#bench", values | {"oob": True, "said": "" if trouble else said}, status=status
        )
    return render(request, "jobs/card.html", values, status=status)
