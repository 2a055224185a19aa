"""The shop's people: log-in, role, skills, hours, breaks and days away, for the boss."""

from django import forms
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from garage.changes.people import log_ins, people
from garage.models.people import Person
from garage.reads.access import away_or_404, person_or_404
from garage.reads.log_ins import log_in_trail, logged_in, trail_of_every_log_in
from garage.reads.people import away_since, everybody, hours_of
from garage.views.answers import carried_out, posted, pressed, status_of
from garage.views.doors import boss, fresh
from garage.views.requests import WorkshopRequest, today
from garage.views.shop.forms_hours import WorkingHoursForm
from garage.views.shop.forms_people import AwayForm, PersonChangeForm, PersonForm


@boss
@fresh
@require_http_methods(["GET", "HEAD", "POST"])
def shop_people(request: WorkshopRequest) -> HttpResponse:
    form = PersonForm(posted(request))
    if added := carried_out(form, lambda: people.add(by=request.user, now=request.now, **form.cleaned_data)):
        messages.success(request, "Added. Now the hours.")
        return redirect("shop-person", person_id=added.made.pk)
    values = {"form": form, "people": everybody(), "trail": trail_of_every_log_in()}
    return render(request, "garage/shop_people.html", values, status=status_of(form))


@boss
@fresh
@require_http_methods(["GET", "HEAD", "POST"])
def shop_person(request: WorkshopRequest, person_id: int) -> HttpResponse:
    person = person_or_404(person_id)
    form = PersonChangeForm(posted(request), instance=person_or_404(person_id))
    if carried_out(form, lambda: people.change(person, by=request.user, now=request.now, **form.cleaned_data)):
        if request.user.pk == person_id:  # people who change their own password stay logged in
            update_session_auth_hash(request, person_or_404(person_id))
        messages.success(request, "Saved.")
        return redirect("shop-person", person_id=person_id)
    return _person(request, person, form=form)


@boss
@fresh
@require_POST
def shop_person_hours(request: WorkshopRequest, person_id: int) -> HttpResponse:
    person, hours = person_or_404(person_id), WorkingHoursForm(request.POST)
    if carried_out(hours, lambda: people.set_hours(person, hours.hours(), by=request.user, now=request.now)):
        messages.success(request, "The hours are saved.")
        return redirect("shop-person", person_id=person_id)
    return _person(request, person, hours=hours)


@boss
@fresh
@require_POST
def shop_person_away(request: WorkshopRequest, person_id: int) -> HttpResponse:
    person, away = person_or_404(person_id), AwayForm(request.POST)
    if carried_out(away, lambda: people.add_away(person, by=request.user, now=request.now, **away.cleaned_data)):
        messages.success(request, "Added. Visits already booked on those days stay there: check the day sheets.")
        return redirect("shop-person", person_id=person_id)
    return _person(request, person, away=away)


@boss
@fresh
@require_POST
def shop_person_log_ins(request: WorkshopRequest, person_id: int) -> HttpResponse:
    """A telephone was lost, or somebody leaves. Whoever ends their own stays logged in here."""
    person = person_or_404(person_id)
    but = request.session.session_key if person == request.user else None
    return pressed(
        request,
        lambda: log_ins.end_all(person, but=but, by=request.user, now=request.now),
        then=redirect("shop-person", person_id=person_id),
        said=f"Ended: {person.name} has to log in again.",
    )


@boss
@fresh
@require_POST
def shop_person_there(request: WorkshopRequest, person_id: int, away_id: int) -> HttpResponse:
    away = away_or_404(person_or_404(person_id), away_id, since=today(request))
    then = redirect("shop-person", person_id=person_id)
    return pressed(request, lambda: people.forget_away(away, by=request.user, now=request.now), then=then)


def _person(request: WorkshopRequest, person: Person, **sent: forms.BaseForm) -> HttpResponse:
    """The page with its three forms, one of which may have been sent."""
    values = {
        "person": person,
        "form": PersonChangeForm(instance=person),
        "hours": WorkingHoursForm(initial=WorkingHoursForm.values_of(hours_of(person))),
        "away": AwayForm(),
        "days_away": away_since(person, today(request)),
        "log_ins": logged_in(person, this_key=request.session.session_key, now=request.now),
        "trail": log_in_trail(person),
    }
    status = status_of(next(iter(sent.values()), None))
    return render(request, "garage/shop_person.html", values | sent, status=status)
