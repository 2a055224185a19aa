"""What every page shows of the shop, to the boss of what needs mending, and to somebody new of their way round."""

from functools import partial

from django.http import HttpRequest

from garage.core.shown_round import StandsAt, stands_at
from garage.models.people import Person
from garage.pages.mending import needs_mending_count


def shop(request: HttpRequest) -> dict[str, object]:
    return {"shop": getattr(request, "shop", None)}


def mending(request: HttpRequest) -> dict[str, object]:
    """Counted only where a page asks for it."""
    now = getattr(request, "now", None)
    return {"needs_mending_count": partial(needs_mending_count, now=now)} if now else {}


def shown_round(request: HttpRequest) -> dict[str, StandsAt | None]:
    """Where this page is on the way round of somebody who has not put it away."""
    person, match = getattr(request, "user", None), request.resolver_match
    shop = getattr(request, "shop", None)
    if not isinstance(person, Person) or person.was_shown_round or match is None or not (shop and shop.is_open):
        return {}
    return {"stands_at": stands_at(person.round, match.url_name or "")}
