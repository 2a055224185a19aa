"""Counts attempts that are limited."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from django.utils.crypto import salted_hmac

from garage.changes.sweeping import delete_in_batches
from garage.core.keeping.periods import ATTEMPTS
from garage.models.attempts import Attempt


def hashed(*parts: str) -> str:
    """A keyed hash from which neither address nor name can be recovered."""
    return salted_hmac("garage.attempts", "\n".join(parts), algorithm="sha256").hexdigest()


def claimed(
    what: str, *, caps: Sequence[tuple[str, int]], within: timedelta, now: datetime
) -> tuple[Attempt, ...] | None:
    """One attempt by each key, counted before it is made; None, and not counted, if it is one too many for a key.

    caps: each key with the most within that time. However many come at once, no more than that are let through: each
    counts itself first, so that the last of them sees all. Call it outside a transaction, or the others are not seen.
    """
    rows = tuple(Attempt.objects.create(what=what, key=key, at=now) for key, _ in caps)
    if all(may_try(what, key=key, most=most + 1, within=within, now=now) for key, most in caps):
        return rows
    take_back(rows)
    return None


def take_back(rows: Iterable[Attempt]) -> None:
    """It was no attempt that counts."""
    Attempt.objects.filter(pk__in=[row.pk for row in rows]).delete()


def may_try(what: str, *, key: str, most: int, within: timedelta, now: datetime) -> bool:
    """Whether there were fewer than `most` attempts within that time. Checking does not count as one."""
    lately = Attempt.objects.filter(what=what, key=key, at__gte=now - within)
    return lately.count() < most


def tried(what: str, *, key: str, now: datetime) -> None:
    Attempt.objects.create(what=what, key=key, at=now)


def forget(what: str, *, key: str) -> None:
    Attempt.objects.filter(what=what, key=key).delete()


def forget_all(what: str) -> None:
    """Of every name and address: for somebody at the machine itself."""
    Attempt.objects.filter(what=what).delete()


def sweep(*, now: datetime) -> None:
    delete_in_batches(Attempt.objects.filter(at__lt=ATTEMPTS.before(now)))
