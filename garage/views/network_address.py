"""Where a request comes from: its network as a keyed hash, enough to count by, and a plain word for the browser."""

from django.conf import settings
from django.http import HttpRequest

from garage.changes.people.attempts import hashed
from garage.core.computer.network import network_of
from garage.core.text.browser_words import browser_words


def address_key(request: HttpRequest) -> str:
    """Behind an https site's proxy, the last address added counts. Earlier ones could be forged."""
    address = request.META.get("REMOTE_ADDR", "")
    if settings.IS_HTTPS:
        address = request.META.get("HTTP_X_FORWARDED_FOR", address).split(",")[-1].strip()
    return hashed(network_of(address))


def browser_of(request: HttpRequest) -> str:
    return browser_words(request.headers.get("User-Agent", ""))
