"""Who has a second factor, and the secret that it goes by."""

from __future__ import annotations

from django.conf import settings
from django.utils.crypto import salted_hmac

from garage.core.letting_in.one_time_codes import secret_of
from garage.models.people import Person
from garage.models.second_factor import SecondFactor


def second_factor_of(person: Person) -> SecondFactor | None:
    return SecondFactor.objects.filter(person=person).first()


def must_have_one(person: Person) -> bool:
    """Whoever sees money and owners' data, where the log-in page can be reached from outside."""
    return bool(settings.REACHABLE_FROM_OUTSIDE) and person.handles_money


def spares_left(factor: SecondFactor) -> int:
    return factor.spares.filter(used_at=None).count()


def new_secret(seed: str) -> str:
    """With the key in force."""
    return secret_of(seed, settings.SECRET_KEY)


def kept_secret(factor: SecondFactor) -> str | None:
    """None if the key that it was set up with is forgotten: then no code of the phone is right any more."""
    for key in (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS):
        if key_mark(key) == factor.key_mark:
            return secret_of(factor.seed, key)
    return None


def key_mark(key: str) -> str:
    """Tells keys apart and says nothing of them."""
    return salted_hmac("garage.second-factor.key", "", secret=key, algorithm="sha256").hexdigest()[:16]
