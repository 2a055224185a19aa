"""Logging in and out; one's own password and log-ins."""

from django import forms
from django.conf import settings
from django.contrib import messages
from django.contrib.auth import logout, update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_POST

from garage.changes.people import log_ins, people
from garage.models.people import Person
from garage.models.sessions import PROVED
from garage.output.addresses import feed_address
from garage.reads.log_ins import log_in_or_404, log_in_trail, logged_in
from garage.reads.second_factor import second_factor_of
from garage.reads.secret_links import feed_token
from garage.views.answers import carried_out, posted, pressed, status_of
from garage.views.coming_in import awaits_code, comes_in, where_to
from garage.views.doors import fresh, workshop
from garage.views.network_address import address_key, browser_of
from garage.views.requests import PageRequest, WorkshopRequest

LOOPBACK = {"127.0.0.1", "localhost", "[::1]"}


class LogInForm(forms.Form):
    name = forms.CharField(label="Name", max_length=150, widget=forms.TextInput(attrs={"autocomplete": "username"}))
    password = forms.CharField(
        label="Password", strip=False, widget=forms.PasswordInput(attrs={"autocomplete": "current-password"})
    )


class OwnPasswordForm(forms.Form):
    old = forms.CharField(
        label="Current password",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    new = forms.CharField(
        label="New password",
        strip=False,
        help_text="Eight characters or more besides words of the garage, not a common one, and not like the name.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    again = forms.CharField(
        label="New password again", strip=False, widget=forms.PasswordInput(attrs={"autocomplete": "new-password"})
    )

    def clean_again(self) -> str:
        again: str = self.cleaned_data["again"]
        if self.cleaned_data.get("new") not in (None, again):
            raise forms.ValidationError("The two new ones are not the same: type them both again.")
        return again


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def log_in(request: PageRequest) -> HttpResponse:
    if request.shop is None:
        return redirect("begin")
    form = LogInForm(posted(request))
    browser, key = browser_of(request), address_key(request)
    if proven := carried_out(
        form, lambda: log_ins.prove(**form.cleaned_data, address_key=key, browser=browser, now=request.now)
    ):
        then = request.POST.get("next", "")
        if second_factor_of(proven.made):
            awaits_code(request, proven.made, then)
            return redirect("log-in-code")
        comes_in(request, proven.made)
        return where_to(request, then)
    return _page(request, form)


@csrf_exempt
@require_POST
def log_out(request: PageRequest) -> HttpResponse:
    """csrf_exempt: pages behind a personal link are no-referrer, so browsers send "Origin: null" from there."""
    if isinstance(request.user, Person):
        log_ins.ended_by_hand(request.user, now=request.now)
    logout(request)
    return redirect(settings.LOGOUT_REDIRECT_URL)


@never_cache
@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def account(request: WorkshopRequest) -> HttpResponse:
    form = OwnPasswordForm(posted(request))
    if carried_out(form, lambda: _change_own_password(request, form)):
        update_session_auth_hash(request, request.user)
        request.session[PROVED] = request.now.isoformat()
        messages.success(request, "Your new password counts from now on. Every other log-in of yours has ended.")
        return redirect("account")
    values = {
        "form": form,
        "log_ins": logged_in(request.user, this_key=request.session.session_key, now=request.now),
        "trail": log_in_trail(request.user),
        "feed_address": feed_address(feed_token(request.user)),
    }
    return render(request, "garage/account.html", values, status=status_of(form))


@workshop
@fresh
@require_POST
def log_in_end(request: WorkshopRequest, log_in: str) -> HttpResponse:
    found = log_in_or_404(request.user, log_in, this_key=request.session.session_key, now=request.now)
    return pressed(
        request,
        lambda: log_ins.end(request.user, found, by=request.user, now=request.now),
        then=redirect("account"),
        said=f"Ended: {found.browser} has to log in again.",
    )


@workshop
@fresh
@require_POST
def log_ins_end(request: WorkshopRequest) -> HttpResponse:
    key, person = request.session.session_key, request.user
    return pressed(
        request,
        lambda: log_ins.end_all(person, but=key, by=person, now=request.now),
        then=redirect("account"),
        said="Ended. Only this browser is still logged in.",
    )


def _change_own_password(request: WorkshopRequest, form: OwnPasswordForm) -> None:
    """The old one is asked for with the log-in's own limits: a phone left lying about must not be a place to guess."""
    person, browser, key = request.user, browser_of(request), address_key(request)
    log_ins.prove(person.username, form.cleaned_data["old"], address_key=key, browser=browser, now=request.now)
    people.change_own_password(person, password=form.cleaned_data["new"], now=request.now)
    person.refresh_from_db()


def _page(request: HttpRequest, form: LogInForm) -> HttpResponse:
    host = request.get_host().rsplit(":", 1)[0]
    context = {
        "form": form,
        "next": request.POST.get("next") or request.GET.get("next", ""),
        "is_plain": not request.is_secure(),
        "is_here_only": host in LOOPBACK,
    }
    return render(request, "garage/log_in.html", context, status=status_of(form))
