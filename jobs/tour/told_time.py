"""The time that is told: all that the visitors do happens at it, and their pages show what holds then."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.http import HttpResponse

from garage.views.requests import PageRequest

KEY = "tour.told"  # of the request's environment: nothing that comes over a network can set it


@dataclass
class ToldTime:
    """One for all visitors; the story moves it on."""

    now: datetime


class ToldTimeMiddleware:
    """Stands after the one that gives each request its time."""

    def __init__(self, get_response: Callable[[PageRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: PageRequest) -> HttpResponse:
        told: ToldTime = request.META[KEY]
        request.now = told.now
        return self.get_response(request)
