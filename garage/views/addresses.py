"""Where a request comes from, as a keyed hash: enough to count by, no address is kept."""

from django.http import HttpRequest

from garage.changes.attempts import hashed


def address_key(request: HttpRequest) -> str:
    return hashed(request.META.get("REMOTE_ADDR", ""))
