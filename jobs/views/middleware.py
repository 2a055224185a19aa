"""/metrics, for Prometheus, where METRICS switches it on; and what is counted of each request.

Who asks from this computer itself is answered, or with METRICS_TOKEN whoever gives that. To anybody else there is no
such page.
"""

from __future__ import annotations

import ipaddress
import time

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.crypto import constant_time_compare
from prometheus_client import CONTENT_TYPE_LATEST

from garage.running.measuring.counts import count, counts, measure_the_database
from garage.views.body_limits import Answers
from jobs.pages.watched import RowNumbers

METRICS = "/metrics"
PASSED_ON = ("Forwarded", "X-Forwarded-For", "X-Forwarded-Proto", "X-Forwarded-Host", "X-Real-IP", "Via")


class MetricsMiddleware:
    def __init__(self, get_response: Answers) -> None:
        self.get_response = get_response
        measure_the_database()

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.path_info == METRICS and may_read(request):
            said = counts().told(RowNumbers(now=timezone.now()))
            return HttpResponse(said, content_type=CONTENT_TYPE_LATEST, headers={"Cache-Control": "no-store"})
        began_s = time.perf_counter()
        answer = self.get_response(request)
        took_s, match = time.perf_counter() - began_s, request.resolver_match
        route = match.url_name if match else None
        count(lambda kept: kept.answered(route, request.method, answer.status_code, took_s))
        return answer


def may_read(request: HttpRequest) -> bool:
    if settings.METRICS_TOKEN:
        return constant_time_compare(request.headers.get("Authorization", ""), f"Bearer {settings.METRICS_TOKEN}")
    return _is_from_here(request)


def _is_from_here(request: HttpRequest) -> bool:
    """A proxy on this computer passes on what comes from elsewhere, and says so."""
    if any(name in request.headers for name in PASSED_ON):
        return False
    try:
        return ipaddress.ip_address(request.META.get("REMOTE_ADDR", "")).is_loopback
    except ValueError:
        return False
