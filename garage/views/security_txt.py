"""/.well-known/security.txt: where somebody who has found a hole can say so (RFC 9116)."""

from datetime import UTC, timedelta

from django.http import Http404, HttpResponse
from django.views.decorators.http import require_safe

from garage.output.addresses import security_txt_address
from garage.views.requests import PageRequest

GOOD_FOR = timedelta(days=90)  # from the moment it is read; RFC 9116, 2.5.5, recommends less than a year


@require_safe
def security_txt(request: PageRequest) -> HttpResponse:
    """Not there before the shop has an address: Contact is what RFC 9116 asks for first."""
    if request.shop is None or not request.shop.email:
        raise Http404
    expires = (request.now + GOOD_FOR).astimezone(UTC)
    lines = (
        f"Contact: mailto:{request.shop.email}",
        f"Expires: {expires:%Y-%m-%dT%H:%M:%SZ}",
        "Preferred-Languages: en",
        f"Canonical: {security_txt_address()}",
    )
    return HttpResponse("".join(f"{line}\n" for line in lines), content_type="text/plain; charset=utf-8")
