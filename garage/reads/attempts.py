"""How often something was tried lately."""

from datetime import datetime

from garage.models.attempts import Attempt


def count(what: str, key: str, *, since: datetime) -> int:
    return Attempt.objects.filter(what=what, key=key, at__gte=since).count()
