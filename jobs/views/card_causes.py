"""Corrections to the causes on a closed card: changed, added later or removed."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from diagnostics.pages.causes import cause_lines
from diagnostics.reads.access import cause_of
from diagnostics.reads.causes import cause_words
from garage.reads.access import visit_for
from garage.views.answers import carried_out, posted, pressed, status_of
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest
from jobs.changes import corrections
from jobs.reads.access import card_of
from jobs.views import forms

CORRECTED = "Corrected. What stood here before is in the trail."


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def card_cause_correct(request: WorkshopRequest, number: int, cause_id: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    cause, card = cause_of(visit, cause_id), card_of(visit)
    form = forms.CorrectForm(posted(request))
    if carried_out(
        form, lambda: corrections.correct_cause(cause, by=request.user, now=request.now, **form.cleaned_data)
    ):
        messages.success(request, CORRECTED)
        return redirect("card", number=number)
    others = [line.says for line in cause_lines(visit) if line.cause != cause and not line.cause.found_good]
    values = {"visit": visit, "card": card, "cause": cause, "says": cause_words(cause), "others": others, "form": form}
    return render(request, "jobs/card_cause_correct.html", values, status=status_of(form))


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def card_cause_late(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    form = forms.LateForm(posted(request))
    if carried_out(form, lambda: corrections.found_later(visit, by=request.user, now=request.now, **form.cleaned_data)):
        messages.success(request, CORRECTED)
        return redirect("card", number=number)
    values = {"visit": visit, "card": card_of(visit), "form": form}
    return render(request, "jobs/card_cause_late.html", values, status=status_of(form))


@workshop
@require_POST
def card_cause_none(request: WorkshopRequest, number: int, cause_id: int) -> HttpResponse:
    cause = cause_of(visit_for(request.user, number), cause_id)
    then = redirect("card", number=number)
    return pressed(
        request, lambda: corrections.was_not_it(cause, by=request.user, now=request.now), then=then, said=CORRECTED
    )
