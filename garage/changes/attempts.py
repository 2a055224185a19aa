"""Keeps count of what may be tried only so often."""

from datetime import timedelta

from django.utils import timezone
from django.utils.crypto import salted_hmac

from garage.models.attempts import Attempt

KEPT = timedelta(days=1)


def hashed(*parts: str) -> str:
    """A key from which neither address nor name can be read back."""
    return salted_hmac("garage.attempts", "\n".join(parts), algorithm="sha256").hexdigest()


def may_try(what: str, *, key: str, most: int, within: timedelta) -> bool:
    """Whether it was tried fewer than `most` times lately; counts nothing by itself."""
    lately = Attempt.objects.filter(what=what, key=key, at__gte=timezone.now() - within)
    return lately.count() < most


def tried(what: str, *, key: str) -> None:
    Attempt.objects.create(what=what, key=key, at=timezone.now())


def forget(what: str, *, key: str) -> None:
    Attempt.objects.filter(what=what, key=key).delete()


def sweep() -> None:
    Attempt.objects.filter(at__lt=timezone.now() - KEPT).delete()
