"""What a request carries once middleware and door have seen it, as types for readers and mypy."""

from __future__ import annotations

from datetime import date, datetime
from typing import ParamSpec

from django.http import HttpRequest
from django_htmx.middleware import HtmxDetails

from garage.models.people import Person
from garage.models.shop import Shop

Given = ParamSpec("Given")  # what the address passes to a view besides its request


class PageRequest(HttpRequest):
    """now: when it came in, for all that it shows and changes. shop: None before the garage is set up."""

    htmx: HtmxDetails
    now: datetime
    shop: Shop | None


class ShopRequest(PageRequest):
    """The garage is set up. Before that, nothing can be booked and nobody logs in."""

    shop: Shop


class WorkshopRequest(ShopRequest):
    """Behind the door of the workshop: somebody who works here."""

    user: Person


class OwnerRequest(ShopRequest):
    """Behind a personal link."""

    link_token: str


def today(request: ShopRequest) -> date:
    """The local day at the shop that the request carries: nothing is asked of the database."""
    return request.shop.local_time.day(request.now)
