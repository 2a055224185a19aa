"""Each request has a number of its own: in every line of the log that it causes, and in its answer."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from garage.running.log_lines import new_request_id, request_id
from garage.views.body_limits import Answers

HEADER = "X-Request-ID"


class RequestIdMiddleware:
    def __init__(self, get_response: Answers) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        before = request_id.set(new_request_id())
        try:
            answer = self.get_response(request)
            answer[HEADER] = request_id.get()
            return answer
        finally:
            request_id.reset(before)
