"""The password once more, asked where something was pressed: what was typed goes along and is done then."""

from __future__ import annotations

from django import forms
from django.http import HttpResponse
from django.shortcuts import render

from garage.changes.people import log_ins
from garage.models.sessions import PROVED
from garage.views.answers import carried_out, status_of
from garage.views.network_address import address_key, browser_of
from garage.views.requests import WorkshopRequest

FIELD = "password_again"
NOT_YET = 403  # nothing was done


class PasswordAgainForm(forms.Form):
    password_again = forms.CharField(
        label="Your password",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


def asked_again(request: WorkshopRequest) -> HttpResponse | None:
    """The page that asks, or None once the right password came with what was pressed. The log-in's own limits count:
    a phone left lying about must not be a place to guess.
    """
    form = PasswordAgainForm(request.POST if FIELD in request.POST else None)
    if carried_out(form, lambda: _prove(request, form.cleaned_data[FIELD])):
        request.session[PROVED] = request.now.isoformat()
        return None
    kept = [
        (name, value)
        for name, values in request.POST.lists()
        if name not in (FIELD, "csrfmiddlewaretoken")
        for value in values
    ]
    values = {"form": form, "kept": kept, "to": request.get_full_path()}
    return render(request, "garage/password_again.html", values, status=status_of(form) if form.is_bound else NOT_YET)


def _prove(request: WorkshopRequest, password: str) -> None:
    name, key, browser = request.user.username, address_key(request), browser_of(request)
    log_ins.prove(name, password, address_key=key, browser=browser, now=request.now)
