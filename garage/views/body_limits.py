"""How much may be sent to an address: what its page can use, and a little for what is around it. Above that it is
refused unread, on a page that says so, also before any log-in.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar
from urllib.parse import unquote, urlsplit

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.template.loader import render_to_string
from django.urls import Resolver404, resolve

Answers = Callable[[HttpRequest], HttpResponse]  # what a middleware hands a request on to
FileView = TypeVar("FileView", bound=Callable[..., HttpResponseBase])

FORM_BYTES = 200_000  # of a form of words: the longest text, 3,000 characters, takes 36,000 bytes at the worst
AROUND_BYTES = 100_000  # of the form around a file: names, boundaries, a token


def takes_a_file(most_bytes: int) -> Callable[[FileView], FileView]:
    """On the view as the address calls it: the outermost."""

    def marked(view: FileView) -> FileView:
        view.most_body_bytes = most_bytes + AROUND_BYTES  # type: ignore[attr-defined]  # looked for by its name
        return view

    return marked


def most_body_bytes(method: str, target: str) -> int:
    """What its page takes. target: as the request states it, or its path. 0 where there is no page, or no form."""
    if method != "POST":
        return 0
    try:
        return _most(resolve(unquote(urlsplit(target).path)).func)
    except (Resolver404, ValueError):
        return 0


class BodyLimitMiddleware:
    """413 for more than the page takes; nothing of it is read, so that nobody's disk or memory is filled."""

    def __init__(self, get_response: Answers) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., HttpResponseBase], _args: object, _named: object
    ) -> HttpResponse | None:
        if _stated_bytes(request) <= _most(view) or getattr(view, "reads_its_form_itself", False):
            return None  # such a view says in its own words what is too much
        most = _most(view)
        said = f"{most // 1_000_000} MB" if most >= 1_000_000 else f"{most // 1000} kB"
        return HttpResponse(render_to_string("413.html", {"most": said}), status=413)


def _most(view: Callable[..., object]) -> int:
    return int(getattr(view, "most_body_bytes", FORM_BYTES))


def _stated_bytes(request: HttpRequest) -> int:
    stated = request.META.get("CONTENT_LENGTH") or "0"
    return int(stated) if stated.isdecimal() else 0
