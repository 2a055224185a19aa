"""The shop's people: log-in, role, skills, hours, breaks and days away, for the boss."""

from django import forms
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from garage.changes import people as changes
from garage.models.people import Person
from garage.reads import clock
from garage.reads import people as reads
from garage.views.answers import carried_out, status_of
from garage.views.doors import boss
from garage.views.forms_hours import WorkingHoursForm
from garage.views.forms_shop import AwayForm, PersonChangeForm, PersonForm


@boss
@require_http_methods(["GET", "HEAD", "POST"])
def shop_people(request: HttpRequest) -> HttpResponse:
    form = PersonForm(request.POST or None)
    if carried_out(form, lambda: changes.add(by=request.user, **form.cleaned_data)):
        messages.success(request, "Added. Now the hours.")
        return redirect("shop-person", person_id=reads.by_log_in_name(form.cleaned_data["username"]).pk)
    context = {"form": form, "people": reads.everybody()}
    return render(request, "garage/shop_people.html", context, status=status_of(form))


@boss
@require_http_methods(["GET", "HEAD", "POST"])
def shop_person(request: HttpRequest, person_id: int) -> HttpResponse:
    person = get_object_or_404(reads.everybody(), pk=person_id)
    form = PersonChangeForm(request.POST or None, instance=reads.by_log_in_name(person.username))
    if carried_out(form, lambda: changes.change(person, by=request.user, **form.cleaned_data)):
        if request.user.pk == person_id:  # whoever changes the own password stays logged in
            update_session_auth_hash(request, get_object_or_404(reads.everybody(), pk=person_id))
        messages.success(request, "Saved.")
        return redirect("shop-person", person_id=person_id)
    return _person(request, person, form=form)


@boss
@require_POST
def shop_person_hours(request: HttpRequest, person_id: int) -> HttpResponse:
    person = get_object_or_404(reads.everybody(), pk=person_id)
    hours = WorkingHoursForm(request.POST)
    if carried_out(hours, lambda: changes.set_hours(person, hours.hours(), by=request.user)):
        messages.success(request, "The hours are saved.")
        return redirect("shop-person", person_id=person_id)
    return _person(request, person, hours=hours)


@boss
@require_POST
def shop_person_away(request: HttpRequest, person_id: int) -> HttpResponse:
    person = get_object_or_404(reads.everybody(), pk=person_id)
    away = AwayForm(request.POST)
    if carried_out(away, lambda: changes.add_away(person, by=request.user, **away.cleaned_data)):
        messages.success(request, "Put down. Visits booked on those days already stay there: look at the day sheets.")
        return redirect("shop-person", person_id=person_id)
    return _person(request, person, away=away)


@boss
@require_POST
def shop_person_there(request: HttpRequest, person_id: int, away_id: int) -> HttpResponse:
    person = get_object_or_404(reads.everybody(), pk=person_id)
    away = get_object_or_404(reads.away_since(person, clock.today()), pk=away_id)
    changes.forget_away(away, by=request.user)
    return redirect("shop-person", person_id=person_id)


def _person(request: HttpRequest, person: Person, **bound: forms.BaseForm) -> HttpResponse:
    """The page with its three forms, one of which may have been sent."""
    sent = next(iter(bound.values()), None)
    context = {
        "person": person,
        "form": PersonChangeForm(instance=person),
        "hours": WorkingHoursForm(initial=WorkingHoursForm.values_of(reads.hours_of(person))),
        "away": AwayForm(),
        "days_away": reads.away_since(person, clock.today()),
    } | bound
    return render(request, "garage/shop_person.html", context, status=status_of(sent) if sent else 200)
