"""Where a request comes from, as a keyed hash: enough to count by, and no address is stored."""

from django.conf import settings
from django.http import HttpRequest

from garage.changes.people.attempts import hashed


def address_key(request: HttpRequest) -> str:
    """Behind an https site's proxy, the last address added counts. Earlier ones could be forged."""
    address = request.META.get("REMOTE_ADDR", "")
    if settings.IS_HTTPS:
        address = request.META.get("HTTP_X_FORWARDED_FOR", address).split(",")[-1].strip()
    return hashed(address)
