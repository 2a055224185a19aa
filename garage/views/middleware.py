"""Each page knows the time it was asked for and the shop, and shows times in the shop's zone."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from garage.reads.shop import shop_or_none
from garage.views.requests import PageRequest


class ShopMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: PageRequest) -> HttpResponse:
        request.now, request.shop = timezone.now(), shop_or_none()
        if request.shop is None:
            return self.get_response(request)
        with timezone.override(request.shop.local_time.zone):
            return self.get_response(request)
