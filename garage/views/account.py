"""Logging in and out."""

from django import forms
from django.conf import settings
from django.contrib.auth import login, logout
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render, resolve_url
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_POST

from garage.changes.people import log_ins
from garage.views.answers import carried_out, posted, status_of
from garage.views.network_address import address_key
from garage.views.requests import PageRequest

LOOPBACK = {"127.0.0.1", "localhost", "[::1]"}


class LogInForm(forms.Form):
    name = forms.CharField(label="Name", max_length=150, widget=forms.TextInput(attrs={"autocomplete": "username"}))
    password = forms.CharField(
        label="Password", strip=False, widget=forms.PasswordInput(attrs={"autocomplete": "current-password"})
    )


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def log_in(request: PageRequest) -> HttpResponse:
    form = LogInForm(posted(request))
    if proven := carried_out(
        form, lambda: log_ins.prove(**form.cleaned_data, address_key=address_key(request), now=request.now)
    ):
        login(request, proven.made)
        return HttpResponseRedirect(_where_to(request))
    return _page(request, form)


@csrf_exempt
@require_POST
def log_out(request: HttpRequest) -> HttpResponse:
    """csrf_exempt: pages behind a personal link are no-referrer, so browsers send "Origin: null" from there."""
    logout(request)
    return redirect(settings.LOGOUT_REDIRECT_URL)


def _page(request: HttpRequest, form: LogInForm) -> HttpResponse:
    host = request.get_host().rsplit(":", 1)[0]
    context = {
        "form": form,
        "next": request.POST.get("next") or request.GET.get("next", ""),
        "is_plain": not request.is_secure(),
        "is_here_only": host in LOOPBACK,
    }
    return render(request, "garage/log_in.html", context, status=status_of(form))


def _where_to(request: HttpRequest) -> str:
    """Back to the page that asked for the log-in, never to another site."""
    wanted = request.POST.get("next", "")
    is_ours = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure())
    return wanted if is_ours else resolve_url(settings.LOGIN_REDIRECT_URL)
