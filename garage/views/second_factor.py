"""The second factor of a log-in: its code asked after the password, and one's own set up with a phone."""

from __future__ import annotations

from datetime import timedelta

from django import forms
from django.contrib import messages
from django.contrib.auth import logout
from django.core import signing
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from garage.changes.people.second_factor import new_seed, prove, set_up
from garage.core.errors import Refused
from garage.core.letting_in.one_time_codes import app_address, in_groups, spare_of
from garage.models.people import Person
from garage.models.sessions import AWAITED, SECOND
from garage.output.qr import qr_svg
from garage.reads.second_factor import must_have_one, new_secret, second_factor_of, spares_left
from garage.views.answers import carried_out, posted, say_on, status_of
from garage.views.coming_in import comes_in, where_to, who_awaits_code
from garage.views.doors import fresh, without_second_factor
from garage.views.network_address import address_key, browser_of
from garage.views.requests import PageRequest, WorkshopRequest

PICTURE_COUNTS_FOR = timedelta(hours=1)  # common practice, no source
SALT = "garage.second-factor.seed"


class CodeForm(forms.Form):
    code = forms.CharField(
        label="Code",
        max_length=40,
        widget=forms.TextInput(attrs={"autocomplete": "one-time-code", "inputmode": "numeric", "class": "short"}),
    )


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def log_in_code(request: PageRequest) -> HttpResponse:
    person = who_awaits_code(request)
    if person is None:
        return redirect("log-in")
    form = CodeForm(posted(request))
    browser, key = browser_of(request), address_key(request)
    if carried_out(
        form,
        lambda: prove(person, form.cleaned_data["code"], address_key=key, browser=browser, now=request.now),
    ):
        then = request.session[AWAITED]["then"]
        comes_in(request, person)
        request.session[SECOND] = True
        if spare_of(form.cleaned_data["code"]):
            _say_how_many_are_left(request, person)
        return where_to(request, then)
    return render(request, "garage/log_in_code.html", {"form": form, "person": person}, status=status_of(form))


@never_cache
@without_second_factor
@fresh
@require_http_methods(["GET", "HEAD", "POST"])
def second_factor(request: WorkshopRequest) -> HttpResponse:
    """The secret is on the page until a code shows that a phone has it, and never again. It is kept from then on: the
    page carries its seed, sealed for this person.
    """
    factor, must = second_factor_of(request.user), must_have_one(request.user)
    if factor and must and not request.session.get(SECOND):  # logged in before it was asked of them
        logout(request)
        return redirect("log-in")
    form, sent, key = CodeForm(posted(request)), _seed_sent(request), request.session.session_key
    seed = sent or new_seed()
    if form.is_bound and not sent:
        say_on(form, Refused("This page was open for too long. Take the new picture below with the app."))
    elif done := carried_out(
        form, lambda: set_up(request.user, seed=seed, code=form.cleaned_data["code"], but=key, now=request.now)
    ):
        request.session[SECOND] = True
        return render(request, "garage/second_factor_done.html", {"spares": done.made})
    secret = new_secret(seed)
    values = {
        "form": form,
        "sealed": signing.dumps([request.user.pk, seed], salt=SALT),
        "secret": in_groups(secret),
        "picture": qr_svg(app_address(secret, whose=request.user.username, issuer=request.shop.name or "Tickover")),
        "factor": factor,
        "spares_left": spares_left(factor) if factor else None,
        "must": must,
    }
    return render(request, "garage/second_factor.html", values, status=status_of(form))


def _seed_sent(request: WorkshopRequest) -> str | None:
    """That of the picture that was on the page. None if it was there for too long, or for somebody else."""
    try:
        whose, seed = signing.loads(request.POST.get("sealed", ""), salt=SALT, max_age=PICTURE_COUNTS_FOR)
    except signing.BadSignature:
        return None
    return str(seed) if whose == request.user.pk else None


def _say_how_many_are_left(request: PageRequest, person: Person) -> None:
    factor = second_factor_of(person)
    left = spares_left(factor) if factor else 0
    codes = "spare code is" if left == 1 else "spare codes are"
    messages.warning(request, f"{left} {codes} left. If the phone is gone, set up another under Your log-in.")
