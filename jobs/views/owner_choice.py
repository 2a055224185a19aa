"""Fix first, by personal link: the owner puts it right at home, or leaves it with us, and picks a new time."""

from __future__ import annotations

from django import forms
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from diagnostics.changes.owner_choice import fix_it_yourself
from garage.changes.visit import owner_choices
from garage.models.actors import OWNER
from garage.models.shop import Shop
from garage.models.visits import Visit
from garage.reads import free, links
from garage.views.answers import carried_out, posted, sentence_of, status_of
from garage.views.booking.forms import TimeForm
from garage.views.booking.times import times_shown
from garage.views.by_link import by_link
from garage.views.requests import OwnerRequest
from jobs.pages.owner_choice import choice_page, guide_page, why_no_new_time
from jobs.views.forms import LeftWithUsForm

DAYS_SHOWN = 7


@by_link(links.VISIT)
@require_http_methods(["GET", "HEAD", "POST"])
def owner_choose(request: OwnerRequest, visit: Visit) -> HttpResponse:
    """POST: the owner puts it right at home. Leaving it with us has its own pages."""
    form = forms.Form(posted(request))
    if carried_out(form, lambda: fix_it_yourself(visit, by=OWNER, now=request.now)):
        return redirect("owner-guide", token=request.link_token)
    values = {"page": choice_page(visit, request.shop), "token": request.link_token, "trouble": sentence_of(form)}
    return render(request, "jobs/owner_choose.html", values, status=status_of(form))


@by_link(links.VISIT)
@require_safe
def owner_leave(request: OwnerRequest, visit: Visit) -> HttpResponse:
    """When it can be brought: one of the times leads to the page that asks."""
    return _leave_times(request, visit, None)


@by_link(links.VISIT)
@require_http_methods(["GET", "HEAD", "POST"])
def owner_leave_look(request: OwnerRequest, visit: Visit) -> HttpResponse:
    """The time, what it may cost, and up to what nobody asks again. GET changes nothing."""
    form = LeftWithUsForm(posted(request), limit_pounds=_limit_of(visit, request.shop))
    if carried_out(form, lambda: owner_choices.leave_with_us(visit, **form.cleaned_data, now=request.now)):
        return redirect("owner-visit", token=request.link_token)
    time = TimeForm(posted(request) or request.GET)
    if not time.is_valid() or (form.is_bound and "limit_pounds" not in form.errors):
        return _leave_times(request, visit, form if form.is_bound else time)
    values = {
        "page": choice_page(visit, request.shop),
        "token": request.link_token,
        "form": form,
        "starts_at": time.cleaned_data["starts_at"],
    }
    return render(request, "jobs/owner_leave_look.html", values, status=status_of(form))


def _limit_of(visit: Visit, shop: Shop) -> int:
    """What was agreed, else the shop's."""
    return shop.bench_limit_pounds if visit.bench_limit_pounds is None else visit.bench_limit_pounds


def _leave_times(request: OwnerRequest, visit: Visit, form: forms.Form | None) -> HttpResponse:
    page = choice_page(visit, request.shop)
    asked = None if page.why_not_leave else free.asked_to_leave_it(visit, request.shop)
    values: dict[str, object] = {"page": page, "token": request.link_token}
    values |= times_shown(request, asked, form, days_shown=DAYS_SHOWN)
    values["trouble"] = sentence_of(form) or page.why_not_leave
    return render(request, "jobs/owner_leave.html", values, status=status_of(form))


@by_link(links.VISIT)
@require_safe
def owner_guide(request: OwnerRequest, visit: Visit) -> HttpResponse:
    values = {"page": guide_page(visit, request.shop), "token": request.link_token}
    return render(request, "jobs/owner_guide.html", values)


@by_link(links.VISIT)
@require_http_methods(["GET", "HEAD", "POST"])
def owner_time(request: OwnerRequest, visit: Visit) -> HttpResponse:
    """A new time on the rollers, for a machine that was put right at home."""
    form, why_not = TimeForm(posted(request)), why_no_new_time(visit, request.shop)
    if carried_out(form, lambda: owner_choices.take_time(visit, **form.cleaned_data, now=request.now)):
        return redirect("owner-visit", token=request.link_token)
    asked = None if why_not else free.asked_anew(visit, request.shop)
    values: dict[str, object] = {"visit": visit, "token": request.link_token}
    values |= times_shown(request, asked, form, days_shown=DAYS_SHOWN)
    values["trouble"] = sentence_of(form) or why_not
    return render(request, "jobs/owner_time.html", values, status=status_of(form))
