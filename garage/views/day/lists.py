"""Fix first and the ring list: what a person must put right, and whom to ring."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from garage.changes.day import ring
from garage.changes.visit import confirming
from garage.models.visits import Visit
from garage.pages.lists import fix_first_page, ring_page
from garage.reads import access
from garage.views.answers import carried_out, pressed, sentence_of, status_of
from garage.views.by_link import kept_private
from garage.views.day.forms import RungForm
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest


@workshop
@require_safe
def fix_first(request: WorkshopRequest) -> HttpResponse:
    return render(request, "garage/fix_first.html", {"page": fix_first_page()})


@workshop
@require_safe
def ring_list(request: WorkshopRequest) -> HttpResponse:
    return _ring_list(request)


@workshop
@require_POST
def ring_list_done(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    form = RungForm(request.POST, number=number)
    if carried_out(form, lambda: ring.rung(visit, by=request.user, now=request.now, **form.cleaned_data)):
        messages.success(request, f"Visit {number} is off the list. What was said is in its trail.")
        return redirect("ring-list")
    return _ring_list(request, visit, form)


@workshop
@require_POST
def ring_list_nobody(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    then = redirect(f"{reverse('ring-list')}#ring-{number}")
    return pressed(request, lambda: ring.nobody_answered(visit, by=request.user, now=request.now), then=then)


@workshop
@require_POST
def ring_list_confirm(request: WorkshopRequest, number: int) -> HttpResponse:
    """Its owner was rung, and comes."""
    visit = access.visit_for(request.user, number)
    return pressed(
        request,
        lambda: confirming.confirm(visit, by=request.user, now=request.now),
        then=redirect("ring-list"),
        said=f"Visit {number} stands. Its owner gets the confirmation and the check sheet by email.",
    )


def _ring_list(request: WorkshopRequest, visit: Visit | None = None, failed: RungForm | None = None) -> HttpResponse:
    """failed: the form of this visit, which keeps what was typed. If the visit is not listed, its sentence stands at
    the top."""
    page = ring_page(request.shop, now=request.now)
    lines = [(row, failed if failed and row == visit else RungForm(number=row.number)) for row in page.rows]
    trouble = "" if visit in page.rows else sentence_of(failed)
    values = {"page": page, "lines": lines, "trouble": trouble, "may_take": request.user.handles_money}
    answer = kept_private(render(request, "garage/ring_list.html", values, status=status_of(failed)))
    # It holds personal links to be texted. Under no-referrer its forms would come from "null".
    answer["Referrer-Policy"] = "same-origin"
    return answer
