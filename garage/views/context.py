"""What every page shows of the shop, and to the boss of what needs mending."""

from functools import partial

from django.http import HttpRequest

from garage.pages.mending import needs_mending_count


def shop(request: HttpRequest) -> dict[str, object]:
    return {"shop": getattr(request, "shop", None)}


def mending(request: HttpRequest) -> dict[str, object]:
    """Counted only where a page asks for it."""
    now = getattr(request, "now", None)
    return {"needs_mending_count": partial(needs_mending_count, now=now)} if now else {}
