"""What every page shows of the shop."""

from django.http import HttpRequest


def shop(request: HttpRequest) -> dict[str, object]:
    return {"shop": getattr(request, "shop", None)}
