"""What a supervisor, a container or a proxy asks: /healthz, whether this process lives; /readyz, whether it can work.

The outermost, so that neither needs session, shop or https, and the first not even a database.
"""

from __future__ import annotations

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse

from garage.running.readiness import looked_at
from garage.views.body_limits import Answers

LIVES, READY = "/healthz", "/readyz"


class HealthMiddleware:
    def __init__(self, get_response: Answers) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.path_info == LIVES:
            return _kept_nowhere(HttpResponse("lives\n", content_type="text/plain"))
        if request.path_info == READY:
            found = looked_at(settings.DATA)
            return _kept_nowhere(JsonResponse(found, status=200 if all(found.values()) else 503))
        return self.get_response(request)


def _kept_nowhere(answer: HttpResponse) -> HttpResponse:
    answer["Cache-Control"] = "no-store"
    return answer
