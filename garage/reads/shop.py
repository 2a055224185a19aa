"""The shop's settings."""

from garage.models.shop import Shop


def shop_or_none() -> Shop | None:
    return Shop.objects.first()


def the_shop() -> Shop:
    return Shop.objects.get()
