"""What a closed card turns out to have been: corrected, found later, or none of it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from diagnostics.reads.causes import cause_words, causes_of
from garage.core.errors import Refused
from garage.reads.access import visit_for
from garage.views.answers import carried_out, status_of
from garage.views.doors import workshop
from jobs.changes import corrections
from jobs.reads import access
from jobs.views import forms

CORRECTED = "Corrected. What stood here before is in the trail."


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def card_cause_correct(request: HttpRequest, number: int, cause_id: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    cause, card = access.cause_of(visit, cause_id), access.card_of(visit)
    form = forms.CorrectForm(request.POST or None)
    if request.method == "POST" and carried_out(
        form, lambda: corrections.correct_cause(cause, by=request.user, **form.cleaned_data)
    ):
        messages.success(request, CORRECTED)
        return redirect("card", number=number)
    others = [line.says for line in causes_of(visit) if line.cause != cause and not line.cause.found_good]
    values = {"visit": visit, "card": card, "cause": cause, "says": cause_words(cause), "others": others, "form": form}
    return render(request, "jobs/card_cause_correct.html", values, status=status_of(form))


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def card_cause_late(request: HttpRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    form = forms.LateForm(request.POST or None)
    if request.method == "POST" and carried_out(
        form, lambda: corrections.found_later(visit, by=request.user, **form.cleaned_data)
    ):
        messages.success(request, CORRECTED)
        return redirect("card", number=number)
    values = {"visit": visit, "card": access.card_of(visit), "form": form}
    return render(request, "jobs/card_cause_late.html", values, status=status_of(form))


@workshop
@require_POST
def card_cause_none(request: HttpRequest, number: int, cause_id: int) -> HttpResponse:
    cause = access.cause_of(visit_for(request.user, number), cause_id)
    try:
        corrections.was_not_it(cause, by=request.user)
    except Refused as refused:
        messages.error(request, refused.sentence)
    else:
        messages.success(request, CORRECTED)
    return redirect("card", number=number)
