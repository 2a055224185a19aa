"""Text goes over the network packed. Letters, pictures, sounds and papers are packed already."""

from __future__ import annotations

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware

TEXTS = ("text/", "application/json", "application/javascript", "image/svg+xml")


class PackedTextMiddleware(GZipMiddleware):
    """Django's own. It puts a random length into each answer, so that what is in a page cannot be guessed from how well
    it packs (BREACH), and the forms' token is masked anew on each page.
    """

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        is_text = response.headers.get("Content-Type", "").startswith(TEXTS)
        return super().process_response(request, response) if is_text else response
