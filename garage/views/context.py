"""What every page shows of the shop."""

from django.http import HttpRequest

from garage.reads.shop import shop_or_none


def shop(request: HttpRequest) -> dict:
    return {"shop": shop_or_none()}
