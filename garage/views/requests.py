"""What a request carries once middleware and door have seen it: for whoever reads, and for the check of types."""

from __future__ import annotations

from django.http import HttpRequest
from django_htmx.middleware import HtmxDetails

from garage.models.people import Person
from garage.models.shop import Shop


class PageRequest(HttpRequest):
    """shop: None before the garage is set up."""

    htmx: HtmxDetails
    shop: Shop | None


class WorkshopRequest(PageRequest):
    """Behind the door of the workshop: somebody who works here."""

    user: Person
    shop: Shop


class OwnerRequest(PageRequest):
    """Behind a personal link."""

    link_token: str
    shop: Shop
