"""What holds for every page: no cache keeps one that is not for everybody, none may use what a phone has besides its
screen, none meets text that a database refuses, and each knows the time it was asked for and the shop, and shows times
in the shop's zone and amounts in its currency.
"""

from collections.abc import Callable, Iterable

from django.core.exceptions import BadRequest
from django.http import HttpRequest, HttpResponse, HttpResponseBase, UnreadablePostError
from django.utils import timezone

from garage.core.currencies import in_currency
from garage.core.text.unbroken import kept_together
from garage.core.text.usable_text import is_usable
from garage.reads.shop import shop_or_none
from garage.views.body_limits import Answers
from garage.views.by_link import is_behind_a_link, kept_private
from garage.views.our_encoding import is_ours
from garage.views.permissions import permissions
from garage.views.requests import PageRequest


class PrivateMiddleware:
    """Whatever is answered behind a personal link, or to a browser that is known here, stays with that browser: also
    what is not found. The outermost, so that it sees every answer.
    """

    def __init__(self, get_response: Answers) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.get_response(request)
        if is_behind_a_link(request.path_info):
            return answer if "X-Robots-Tag" in answer else kept_private(answer)  # a calendar has said so in its own way
        session = getattr(request, "session", None)  # an answer from further out, as to a style sheet, has none
        if session is not None and session.accessed and not session.is_empty():
            answer["Cache-Control"] = "private, no-store"
        return answer


class PermissionsMiddleware:
    """No page may use a microphone, a camera or where somebody is, nor may what it shows; one that records says so
    itself (may_record).
    """

    def __init__(self, get_response: Answers) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.get_response(request)
        answer.setdefault("Permissions-Policy", permissions())
        return answer


class UsableTextMiddleware:
    """400 for an address, a cookie or a form with characters that nobody types and a database refuses, or in another
    encoding than the pages have.
    """

    def __init__(self, get_response: Answers) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if not is_ours(request.META):
            raise BadRequest("It comes in an encoding that no page of ours asks for.")
        _check([request.path_info, *request.COOKIES.values(), *_all_of(request.GET.lists())])
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., HttpResponseBase], _args: object, _named: object
    ) -> None:
        """A view that must set a limit before its form is read has no text in it."""
        if getattr(view, "reads_its_form_itself", False):
            return
        try:
            _check(_all_of(request.POST.lists()))
        except UnreadablePostError as broken_off:
            raise BadRequest("The connection ended within the form.") from broken_off


def _all_of(lists: Iterable[tuple[str, list[str]]]) -> Iterable[str]:
    for name, values in lists:
        yield name
        yield from values


def _check(texts: Iterable[str]) -> None:
    if not all(map(is_usable, texts)):
        raise BadRequest("It holds a character that nobody types.")


class ShopMiddleware:
    def __init__(self, get_response: Answers) -> None:
        self.get_response = get_response

    def __call__(self, request: PageRequest) -> HttpResponse:
        request.now, request.shop = timezone.now(), shop_or_none()
        if request.shop is None:
            return self.get_response(request)
        with timezone.override(request.shop.local_time.zone), in_currency(request.shop.currency, request.shop.tax_name):
            return self.get_response(request)


class UnbrokenMiddleware:
    """On pages and the parts of them that come anew, a value and its unit stay on one line."""

    def __init__(self, get_response: Answers) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.get_response(request)
        if answer.headers.get("Content-Type", "").startswith("text/html") and not answer.streaming:
            answer.content = kept_together(answer.text).encode()
        return answer
