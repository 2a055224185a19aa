"""Which language a page is in: the workshop's are English; an owner's link has the owner's; a public page is in what
was chosen in this browser, else in what the browser asks for.
"""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect
from django.urls import Resolver404, resolve
from django.utils.cache import patch_vary_headers
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST

from garage.changes.people import owners
from garage.core.text.languages import ENGLISH, LANGUAGES
from garage.models.actors import OWNER
from garage.output.speaking import speak, speaking, wanted
from garage.reads import access
from garage.views.body_limits import Answers
from garage.views.requests import PageRequest

COOKIE = "language"
KEPT_S = 60 * 60 * 24 * 365  # s, one year


class LanguageMiddleware:
    def __init__(self, get_response: Answers) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        chosen = request.COOKIES.get(COOKIE, "")
        code = chosen if chosen in LANGUAGES else wanted(request.headers.get("Accept-Language", ""))
        with speaking(code):
            answer = self.get_response(request)
        if answer.headers.get("Content-Type", "").startswith("text/html"):
            patch_vary_headers(answer, ("Accept-Language", "Cookie"))
        return answer

    def process_view(
        self, request: HttpRequest, _view: Callable[..., HttpResponseBase], _args: object, _named: object
    ) -> None:
        """Whoever is logged in reads English, also a public page."""
        if request.user.is_authenticated:
            speak(ENGLISH)


@csrf_exempt
@require_POST
def language(request: PageRequest) -> HttpResponse:
    """Chosen in the foot of a page. It is kept in this browser, and with the owner whose link the page is behind.

    csrf_exempt: pages behind a personal link are no-referrer, so browsers send "Origin: null" from there.
    """
    code, back = request.POST.get("language", ""), request.POST.get("back", "")
    if not (back.startswith("/") and url_has_allowed_host_and_scheme(back, allowed_hosts=None)):
        back = "/"
    answer = redirect(back)
    if code in LANGUAGES:
        visit = access.visit_by_any_link(_token_in(back), now=request.now)
        if visit is not None:
            owners.speak_with(visit.owner, language=code, by=OWNER, now=request.now)
        answer.set_cookie(
            COOKIE, code, max_age=KEPT_S, secure=settings.SESSION_COOKIE_SECURE, httponly=True, samesite="Lax"
        )
    return answer


def _token_in(path: str) -> str:
    """Of a page behind a personal link; empty of any other."""
    try:
        return str(resolve(path.partition("?")[0]).kwargs.get("token", ""))
    except Resolver404:
        return ""
