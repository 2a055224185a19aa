"""Where a request comes from, as a keyed hash: enough to count by, no address is kept."""

from django.conf import settings
from django.http import HttpRequest

from garage.changes.attempts import hashed


def address_key(request: HttpRequest) -> str:
    """Behind the proxy of an https site the last address it has added counts; what stands before could be made up."""
    address = request.META.get("REMOTE_ADDR", "")
    if settings.IS_HTTPS:
        address = request.META.get("HTTP_X_FORWARDED_FOR", address).split(",")[-1].strip()
    return hashed(address)
