"""Logging in: wrong passwords are counted by name and address, to stop brute-force guessing."""

from datetime import datetime, timedelta

from django.contrib.auth import authenticate

from garage.changes.people import attempts
from garage.core.errors import Refused
from garage.models.people import Person

WITHIN = timedelta(minutes=15)  # common practice, no source; so are the counts
MOST_WRONG_FOR_A_NAME = 5
MOST_WRONG_FROM_AN_ADDRESS = 30


class WrongPassword(Refused):
    """Name and password don't belong together. It does not say which of them is wrong."""

    status = 422


class TooOften(Refused):
    """Too many wrong passwords. Even a right one is then not checked."""

    status = 429


def prove(name: str, password: str, *, address_key: str, now: datetime) -> Person:
    """The person. WrongPassword for an unknown name too, TooOften past the limits."""
    for_the_name = attempts.hashed(name.casefold(), address_key)
    caps = ((for_the_name, MOST_WRONG_FOR_A_NAME), (address_key, MOST_WRONG_FROM_AN_ADDRESS))
    if not all(attempts.may_try("wrong-password", key=key, most=most, within=WITHIN, now=now) for key, most in caps):
        raise TooOften("Too many wrong passwords from here. Wait a quarter of an hour, or ask the boss for a new one.")
    person = authenticate(username=name, password=password)
    if person is None:
        for key, _ in caps:
            attempts.tried("wrong-password", key=key, now=now)
        raise WrongPassword("That name and password don't belong together. Capital and small letters matter in both.")
    attempts.forget("wrong-password", key=for_the_name)
    return person
