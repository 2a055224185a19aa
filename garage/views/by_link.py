"""The door of pages behind a personal link: the token in the address is the secret, and no cookie is read."""

from __future__ import annotations

from collections.abc import Callable
from functools import update_wrapper
from typing import Concatenate, Protocol, TypeVar

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.csrf import csrf_exempt

from garage.changes.people.link_limits import may_send
from garage.models.visits import Visit
from garage.output.speaking import speak
from garage.reads import access
from garage.views.requests import Given, OwnerRequest
from garage.views.typed_again import typed_fields

Response = TypeVar("Response", bound=HttpResponseBase)
OwnersView = Callable[Concatenate[OwnerRequest, Visit, Given], HttpResponseBase]


class OpenView(Protocol[Given]):
    """A view as the address calls it."""

    def __call__(
        self, request: OwnerRequest, token: str, *args: Given.args, **kwargs: Given.kwargs
    ) -> HttpResponseBase: ...


def by_link(purpose: str) -> Callable[[OwnersView[Given]], OpenView[Given]]:
    """The view is called as view(request, visit, ...). request.link_token is the token in the address.

    PrivateMiddleware keeps its answer private.

    csrf_exempt: no cookie gives authority here, and no-referrer makes browsers send "Origin: null".
    """

    def door(view: OwnersView[Given]) -> OpenView[Given]:
        def opened(request: OwnerRequest, token: str, *args: Given.args, **kwargs: Given.kwargs) -> HttpResponseBase:
            visit = access.visit_by_link(token, purpose, now=request.now)
            request.link_token = token
            if visit is None:
                return dead_link(request, token)
            speak(visit.owner.language)
            if request.method == "POST" and not may_send(visit, now=request.now):
                return _too_much(request)
            return view(request, visit, *args, **kwargs)

        update_wrapper(opened, view)
        return csrf_exempt(opened)

    return door


def dead_link(request: HttpRequest, token: str) -> HttpResponse:
    return render(request, "garage/link_dead.html", {"token": token}, status=410)


def _too_much(request: OwnerRequest) -> HttpResponse:
    """A whole page, also where htmx asked for a part."""
    values = {"fields": typed_fields(request), "path": request.path}
    answer = render(request, "garage/too_much_by_link.html", values, status=429)
    answer["HX-Retarget"], answer["HX-Reswap"] = "body", "innerHTML"
    return answer


def is_behind_a_link(path: str) -> bool:
    """Whether an address holds a token: /sheet/<token>/, /visit/<token>/, a calendar's or the wall's, and all below,
    whether there or not.
    """
    return path.startswith(("/sheet/", "/visit/", "/feed/", "/wall/")) and path != "/wall/"


def kept_private(response: Response) -> Response:
    """The address is secret: it must not reach other sites, shared caches or search engines."""
    response["Referrer-Policy"] = "no-referrer"
    response["Cache-Control"] = "private, no-store"
    response["X-Robots-Tag"] = "noindex"
    return response
